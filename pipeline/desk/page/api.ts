// Requests to the server that gave this page: paths are relative to it, and what writes shows the token of its address.
import type { Api, Refused } from "./page";

const base = new URL(".", document.baseURI);
const token = base.pathname.split("/")[1] ?? "";

async function ask(path: string, how: RequestInit): Promise<Response | Refused> {
  let answer: Response;
  try {
    answer = await fetch(new URL(path, base), { cache: "no-store", ...how });
  } catch {
    return { status: 0, what: "The desk does not answer.", fix: "", body: null };
  }
  if (answer.ok) return answer;
  const body = await answer.json().catch(() => null);
  const what = typeof body?.what === "string" ? body.what : `The desk refused this (${answer.status}).`;
  return { status: answer.status, what, fix: typeof body?.fix === "string" ? body.fix : "", body };
}

async function value<T>(answer: Response | Refused): Promise<T | Refused> {
  if (!(answer instanceof Response)) return answer;
  try {
    const json = (answer.headers.get("content-type") ?? "").includes("json");
    return (json ? await answer.json() : await answer.text()) as T;
  } catch {
    return { status: 0, what: "The desk stopped in the middle of an answer.", fix: "", body: null };
  }
}

export const api: Api = {
  url: (path) => new URL(path, base).href,
  get: async <T>(path: string) => value<T>(await ask(path, {})),
  // A layer never changes under its digest, so the browser may keep what is fetched as bytes.
  bytes: (path) => ask(path, { cache: "default" }),
  post: async <T>(path: string, body: unknown) =>
    value<T>(await ask(path, {
      method: "POST",
      headers: { "Content-Type": "application/json", "Tabard-Token": token },
      body: JSON.stringify(body),
    })),
};
