import type { BoardMap, MapPart } from "./board-map.js";
import { hatchSpacingMillimetre, percentText, suspicionStep } from "./suspicion.js";
import { element, escapeText, pathData } from "./svg.js";

/** What is marked on a drawn map. */
export interface BoardMapMarks {
  /** Chance of each part to be at fault; parts that are missing are not shaded. */
  readonly suspicion?: ReadonlyMap<string, number>;
  /** Pins where a probe goes, each with its part. */
  readonly probes?: readonly { readonly ref: string; readonly pin: string }[];
}

/** Colours of a drawn map; each may be a CSS value such as `var(--ink)`. */
export interface BoardMapColours {
  readonly board: string;
  readonly edge: string;
  readonly part: string;
  readonly ink: string;
  readonly pad: string;
  readonly probe: string;
}

/** Colours for paper. */
export const paperColours: BoardMapColours = {
  board: "#eef2ee",
  edge: "#54615a",
  part: "#ffffff",
  ink: "#1b211e",
  pad: "#8b8f86",
  probe: "#b8370b",
};

/**
 * A board map as one SVG element, one user unit a millimetre. Suspects are hatched, closer for likelier ones, and carry
 * their chance in words; probe points are ringed. Deterministic: the same map and marks give the same text.
 */
export function renderBoardMap(
  map: BoardMap,
  marks: BoardMapMarks = {},
  colours: BoardMapColours = paperColours,
): string {
  const { extent } = map;
  const board = element("rect", {
    x: 0,
    y: 0,
    width: map.widthMillimetre,
    height: map.heightMillimetre,
    rx: 2,
    fill: colours.board,
    stroke: colours.edge,
    "stroke-width": 0.6,
  });
  const parts = map.parts.map((part) => renderPart(part, marks.suspicion?.get(part.ref), colours));
  const probes = (marks.probes ?? []).map(({ ref, pin }) => renderProbe(map, ref, pin, colours));
  const title = element("title", {}, escapeText(`Board map of ${map.title}`));
  return element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      viewBox: `${extent.x} ${extent.y} ${extent.width} ${extent.height}`,
      role: "img",
      "font-family": "sans-serif",
    },
    [title, board, ...parts, ...probes].join("\n"),
  );
}

/** Lines at 45 degrees that hatch a box, as path data; empty if `spacing` is 0. */
export function hatchPath(
  { x, y, width, height }: { x: number; y: number; width: number; height: number },
  spacing: number,
): string {
  if (spacing <= 0) return "";
  const lines: string[] = [];
  for (let offset = spacing; offset < width + height; offset += spacing) {
    const from = [x + Math.min(offset, width), y + Math.max(0, offset - width)] as const;
    const to = [x + Math.max(0, offset - height), y + Math.min(offset, height)] as const;
    lines.push(pathData([from, to], "open"));
  }
  return lines.join("");
}

function renderPart(part: MapPart, chance: number | undefined, colours: BoardMapColours): string {
  const { body } = part;
  const step = suspicionStep(chance ?? 0);
  const round = part.shape === "round" || part.shape === "point";
  const outline = element("rect", {
    x: body.x,
    y: body.y,
    width: body.width,
    height: body.height,
    rx: round ? Math.min(body.width, body.height) / 2 : 0.5,
    fill: colours.part,
    stroke: colours.edge,
    "stroke-width": 0.25,
    "stroke-dasharray": part.shape === "outside" ? "1 0.6" : undefined,
  });
  const hatch =
    step === 0
      ? ""
      : element("path", {
          d: hatchPath(body, hatchSpacingMillimetre[step]),
          stroke: colours.ink,
          "stroke-width": 0.15 + 0.07 * step,
        });
  const pads = part.pins.map(({ pin, x, y }) =>
    pin === part.pinOne
      ? element("rect", { x: x - 0.75, y: y - 0.75, width: 1.5, height: 1.5, fill: colours.ink })
      : element("circle", { cx: x, cy: y, r: 0.7, fill: colours.pad }),
  );
  return element("g", {}, [outline, hatch, ...pads, renderLabel(part, chance, step, colours)].join(""));
}

function renderLabel(
  part: MapPart,
  chance: number | undefined,
  step: number,
  colours: BoardMapColours,
): string {
  const { body } = part;
  const isChip = part.shape === "chip" || part.shape === "tab";
  if (!isChip && step === 0 && part.shape !== "box" && part.shape !== "edge" && part.shape !== "outside")
    return "";
  const x = body.x + body.width / 2;
  const y = body.y + body.height / 2;
  const lines = step === 0 || chance === undefined ? [part.ref] : [part.ref, percentText(chance)];
  const size = isChip ? 2.8 : 2.2;
  const halo = { stroke: colours.part, "stroke-width": 1, "paint-order": "stroke" };
  return lines
    .map((line, i) =>
      element(
        "text",
        {
          x,
          y: y + size * (0.35 + i - (lines.length - 1) / 2) * 1.15,
          "text-anchor": "middle",
          "font-size": size,
          "font-weight": 700,
          fill: colours.ink,
          ...halo,
        },
        escapeText(line),
      ),
    )
    .join("");
}

function renderProbe(map: BoardMap, ref: string, pin: string, colours: BoardMapColours): string {
  const at = map.parts.find((part) => part.ref === ref)?.pins.find((one) => one.pin === pin);
  if (at === undefined) throw new RangeError(`the map has no pin ${ref}.${pin}`);
  const ring = { cx: at.x, cy: at.y, fill: "none", stroke: colours.probe };
  return (
    element("circle", { ...ring, r: 3.2, "stroke-width": 0.9 }) +
    element("circle", { cx: at.x, cy: at.y, r: 1, fill: colours.probe })
  );
}
