import { growBox, readMillimetres, roundMillimetres } from "./millimetres.js";
import type { DraftBox } from "./netlist-draft.js";
import { type ProblemList, quoted } from "./problem-list.js";
import type { SExpressionList } from "./s-expression.js";
import { listName, listsNamed, textNamed } from "./s-expression-query.js";

interface Point {
  readonly x: number;
  readonly y: number;
}

const edgeLayer = "Edge.Cuts";

/**
 * The smallest upright rectangle round what is drawn on the layer Edge.Cuts (lines, arcs, rectangles, circles, polygons,
 * curves by their control points), or undefined if nothing is. Widths of lines do not count. Code: `bad-number`.
 */
export function findOutline(root: SExpressionList, problems: ProblemList): DraftBox | undefined {
  let box: DraftBox | undefined;
  for (const item of root.items) {
    if (item.kind !== "list" || textNamed(item, "layer") !== edgeLayer) continue;
    for (const { x, y } of pointsOf(item, problems))
      box = growBox(box, roundMillimetres(x), roundMillimetres(y));
  }
  return box === undefined || box.right <= box.left || box.bottom <= box.top ? undefined : box;
}

function pointsOf(item: SExpressionList, problems: ProblemList): Point[] {
  const point = (name: string): Point | undefined => pointNamed(item, name, problems);
  switch (listName(item)) {
    case "gr_line":
    case "gr_rect":
      return [point("start"), point("end")].flatMap((found) => found ?? []);
    case "gr_circle": {
      const [centre, end] = [point("center"), point("end")];
      if (centre === undefined || end === undefined) return [];
      return cardinalPoints(centre, Math.hypot(end.x - centre.x, end.y - centre.y));
    }
    case "gr_arc":
      return arcOf(item, problems);
    case "gr_poly":
    case "gr_curve":
      return listsNamed(item, "pts").flatMap((points) => [
        ...listsNamed(points, "xy").flatMap((xy) => pointOf(xy, "xy", problems) ?? []),
        ...listsNamed(points, "arc").flatMap((arc) => arcOf(arc, problems)),
      ]);
    default:
      return [];
  }
}

function arcOf(item: SExpressionList, problems: ProblemList): Point[] {
  const [start, mid, end] = ["start", "mid", "end"].map((name) => pointNamed(item, name, problems));
  return arcPoints(start, mid, end, Number(textNamed(item, "angle") ?? "NaN"));
}

/** Old arcs: `start` is the centre, `end` a point on the arc, and the angle turns clockwise. New ones go through `mid`. */
function arcPoints(
  start: Point | undefined,
  mid: Point | undefined,
  end: Point | undefined,
  angleDegree: number,
): Point[] {
  if (start === undefined || end === undefined) return [];
  if (mid === undefined) {
    const radius = Math.hypot(end.x - start.x, end.y - start.y);
    const from = Math.atan2(end.y - start.y, end.x - start.x);
    const sweep = Number.isFinite(angleDegree) ? (angleDegree * Math.PI) / 180 : 0;
    return sweptPoints(start, radius, from, sweep);
  }
  const centre = centreOf(start, mid, end);
  if (centre === undefined) return [start, mid, end];
  const angleTo = (point: Point): number => Math.atan2(point.y - centre.y, point.x - centre.x);
  const from = angleTo(start);
  const toMid = turnBetween(from, angleTo(mid));
  const toEnd = turnBetween(from, angleTo(end));
  const sweep = toMid <= toEnd ? toEnd : toEnd - 2 * Math.PI;
  return sweptPoints(centre, Math.hypot(start.x - centre.x, start.y - centre.y), from, sweep);
}

/** Both ends of an arc, and what it passes of the circle's leftmost, rightmost, highest and lowest points. */
function sweptPoints(centre: Point, radius: number, from: number, sweep: number): Point[] {
  const on = (angle: number): Point => ({
    x: centre.x + radius * Math.cos(angle),
    y: centre.y + radius * Math.sin(angle),
  });
  const [low, high] = sweep < 0 ? [from + sweep, from] : [from, from + sweep];
  const passed = [0, 1, 2, 3]
    .map((quarter) => (quarter * Math.PI) / 2)
    .filter((angle) => turnBetween(low, angle) <= high - low)
    .map(on);
  return [on(from), on(from + sweep), ...passed];
}

function cardinalPoints({ x, y }: Point, radius: number): Point[] {
  return [
    { x: x - radius, y: y - radius },
    { x: x + radius, y: y + radius },
  ];
}

/** From one direction to another, from 0 to less than a full turn. */
function turnBetween(from: number, to: number): number {
  const turn = (to - from) % (2 * Math.PI);
  return turn < 0 ? turn + 2 * Math.PI : turn;
}

/** Centre of the circle through three points; undefined if they lie on a line. */
function centreOf(a: Point, b: Point, c: Point): Point | undefined {
  const [bx, by, cx, cy] = [b.x - a.x, b.y - a.y, c.x - a.x, c.y - a.y];
  const twiceCross = 2 * (bx * cy - by * cx);
  if (Math.abs(twiceCross) < 1e-9) return undefined;
  const [bb, cc] = [bx * bx + by * by, cx * cx + cy * cy];
  return { x: a.x + (cy * bb - by * cc) / twiceCross, y: a.y + (bx * cc - cx * bb) / twiceCross };
}

function pointNamed(item: SExpressionList, name: string, problems: ProblemList): Point | undefined {
  const list = listsNamed(item, name)[0];
  return list === undefined ? undefined : pointOf(list, name, problems);
}

function pointOf(list: SExpressionList, name: string, problems: ProblemList): Point | undefined {
  const [first, second] = [list.items[1], list.items[2]];
  const x = readMillimetres(first?.kind === "atom" ? first.text : undefined);
  const y = readMillimetres(second?.kind === "atom" ? second.text : undefined);
  if (x !== undefined && y !== undefined) return { x, y };
  const found = [first, second].map((item) => (item?.kind === "atom" ? item.text : "")).join(" ");
  problems.error("bad-number", `${quoted(found)} is no place in millimetres.`, {
    line: list.line,
    column: list.column,
    field: `${edgeLayer}.${name}`,
  });
  return undefined;
}
