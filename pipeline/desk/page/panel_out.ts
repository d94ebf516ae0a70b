import { el, Panel } from "./page";

export const out_panel: Panel = { name: "Out", build: () => el("div") };
