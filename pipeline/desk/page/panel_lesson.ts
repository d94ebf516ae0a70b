import { el, Panel } from "./page";

export const lesson_panel: Panel = { name: "Lesson", build: () => el("div") };
