/** What the server answers, as `crates/app/tests/it/api_types.rs` compares it with the program. Never served. */

/** An edit that was kept. */
export interface EditAnswer {
  revision: number;
  parts: Record<string, string>;
}

/** An edit that was not kept. */
export interface EditRefusal {
  kind: "stale" | "refused";
  message: string;
  hints: string[];
  field: string;
}

/** A shape for the view in space; lists of points are flat. */
export interface ShapeAnswer {
  name: string;
  points_mm: number[];
  triangles: number[];
  faces: number[];
  lines: ShapeLine[];
  outline_mm: number[];
  openings_mm: number[][];
}

/** A line of a shape. */
export interface ShapeLine {
  name: string;
  points_mm: number[];
}

/** How a piece of long work stands. */
export interface WorkState {
  id: number;
  name: string;
  of: string;
  done: number;
  state: "running" | "finished" | "stopped" | "failed";
  note: string;
}
