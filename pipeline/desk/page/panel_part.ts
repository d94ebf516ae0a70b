import { el, Panel } from "./page";

export const part_panel: Panel = { name: "Part", build: () => el("div") };
