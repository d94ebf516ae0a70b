import { Panel } from "./page";
import { cut_panel } from "./panel_cut";
import { hear_panel } from "./panel_hear";
import { lesson_panel } from "./panel_lesson";
import { out_panel } from "./panel_out";
import { part_panel } from "./panel_part";
import { shapes_panel } from "./panel_shapes";
import { tap_panel } from "./panel_tap";

// In the order of a teacher's work.
export const panels: Panel[] = [lesson_panel, part_panel, tap_panel, shapes_panel, hear_panel, out_panel, cut_panel];
