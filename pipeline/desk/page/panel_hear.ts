import { el, Panel } from "./page";

export const hear_panel: Panel = { name: "Hear", build: () => el("div") };
