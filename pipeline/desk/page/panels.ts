import { Panel } from "./page";
import { cutPanel } from "./panel_cut";
import { hearPanel } from "./panel_hear";
import { lessonPanel } from "./panel_lesson";
import { outPanel } from "./panel_out";
import { partPanel } from "./panel_part";
import { shapesPanel } from "./panel_shapes";
import { tapPanel } from "./panel_tap";

// In the order of a teacher's work.
export const panels: Panel[] = [lessonPanel, partPanel, tapPanel, shapesPanel, hearPanel, outPanel, cutPanel];
