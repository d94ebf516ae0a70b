import { el, Panel } from "./page";

export const cut_panel: Panel = { name: "New cut", build: () => el("div") };
