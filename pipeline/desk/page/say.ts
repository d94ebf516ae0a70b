// What is said to the user: shown for a while, and read aloud by screen readers.
import { el } from "./page";

const good = el("div", { class: "said", role: "status" });
const bad = el("div", { class: "said", role: "alert" });

const heard = el("div", { class: "unseen", role: "status" });

export const said = el("div", { class: "says" }, good, bad, heard);

/** What is seen on the page anyway: read aloud alone. */
export function readAloud(words: string): void {
  heard.textContent = words;
}

export function say(words: string, tone: "good" | "bad" = "good"): void {
  const place = tone === "bad" ? bad : good;
  const message = el("div", { class: `saying ${tone}` }, el("span", {}, words));
  const end = () => message.remove();
  const close = el("button", { type: "button", class: "bare", "aria-label": "Close this message", onclick: end }, "\u00d7");
  message.append(close);
  for (const before of [...bad.children]) if (before.firstChild?.textContent === words) before.remove();
  if (tone === "good") for (const before of [...good.children]) before.remove();
  else while (bad.children.length > 2) bad.firstChild?.remove();
  place.append(message);
  if (tone === "good") setTimeout(end, 6000);
}
