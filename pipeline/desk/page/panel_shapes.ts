import { el, Panel } from "./page";

export const shapes_panel: Panel = { name: "Shapes", build: () => el("div") };
