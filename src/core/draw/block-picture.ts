import { type Board, type BoardPart, type Section, sections } from "../board/board.js";
import type { PartType } from "../board/part-type.js";
import { compareNatural } from "./natural-order.js";
import { element, escapeText, pathData } from "./svg.js";

/** Chips of one type in a block. */
interface BlockLine {
  readonly type: string;
  readonly refs: readonly string[];
  /** True if nobody has seen any of them. */
  readonly assumed: boolean;
}

/** A section of the board as a box of the picture. */
interface Block {
  readonly section: Section;
  readonly lines: readonly BlockLine[];
  readonly x: number;
  readonly y: number;
  readonly height: number;
}

const boxWidth = 230;
const gap = 50;
const lineHeight = 18;
const headHeight = 30;
const perRow = 3;
const mostNamed = 4;

/** Sections in the order in which signals run, three to a row. */
const order: readonly Section[] = [
  "supply",
  "clock",
  "reset",
  "processor",
  "decoding",
  "memory",
  "video",
  "io",
  "sound",
  "keyboard",
  "tape",
  "serial",
  "other",
];

/**
 * A schematic block picture of a board as one SVG element: a box for each section with its chips, and a line between
 * two sections for the signal nets they share, thicker for more and with their number. What is only assumed is dashed
 * and marked with a question mark. Deterministic.
 */
export function renderBlockPicture(board: Board, types: { get(type: string): PartType | undefined }): string {
  const blocks = placeBlocks(board, types);
  const width = gap + perRow * (boxWidth + gap);
  const height = Math.max(...blocks.map(({ y, height: own }) => y + own), 0) + gap;
  const supplies = new Set([board.ground, ...board.rails.map(({ net }) => net)]);
  const lines = links(board, supplies).flatMap(({ from, to, nets }) => drawLink(blocks, from, to, nets));
  return element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      viewBox: `0 0 ${width} ${height}`,
      role: "img",
      "font-family": "sans-serif",
      "font-size": 13,
    },
    [
      element("title", {}, escapeText(`Blocks of ${board.title}`)),
      element("rect", { x: 0, y: 0, width, height, fill: "#ffffff" }),
      ...lines,
      ...blocks.map(drawBlock),
    ].join("\n"),
  );
}

function isShown(part: BoardPart, types: { get(type: string): PartType | undefined }): boolean {
  const type = types.get(part.type);
  if (type === undefined) return true;
  const { kind } = type.behaviour;
  if (kind !== "plain") return type.family !== "transistor";
  return ["connector", "keyboard", "loudspeaker", "fuse", "crystal"].includes(type.behaviour.as);
}

function placeBlocks(board: Board, types: { get(type: string): PartType | undefined }): Block[] {
  const filled = order.flatMap((section) => {
    const lines = linesOf(board.parts.filter((part) => part.section === section && isShown(part, types)));
    return lines.length === 0 ? [] : [{ section, lines }];
  });
  const blocks: Block[] = [];
  let y = gap;
  for (let from = 0; from < filled.length; from += perRow) {
    const row = filled.slice(from, from + perRow);
    const height = headHeight + lineHeight * Math.max(...row.map(({ lines }) => lines.length)) + 8;
    row.forEach(({ section, lines }, i) => {
      blocks.push({ section, lines, x: gap + i * (boxWidth + gap), y, height });
    });
    y += height + gap;
  }
  return blocks;
}

function linesOf(parts: readonly BoardPart[]): BlockLine[] {
  const byType = new Map<string, BoardPart[]>();
  for (const part of parts) byType.set(part.type, [...(byType.get(part.type) ?? []), part]);
  return [...byType].map(([type, own]) => ({
    type,
    refs: own.map(({ ref }) => ref).sort(compareNatural),
    assumed: own.every(({ source }) => source === "assumed"),
  }));
}

interface Link {
  readonly from: Section;
  readonly to: Section;
  readonly nets: number;
}

/** Pairs of sections and how many signal nets join them; a net belongs to the section that comes first in the order. */
function links(board: Board, supplies: ReadonlySet<string>): Link[] {
  const bySection = new Map<string, Set<Section>>();
  for (const { section, pins } of board.parts)
    for (const net of Object.values(pins)) {
      if (supplies.has(net)) continue;
      const own = bySection.get(net) ?? new Set<Section>();
      bySection.set(net, own.add(section));
    }
  const counts = new Map<string, number>();
  for (const own of bySection.values()) {
    const [first, ...others] = [...own].sort((a, b) => order.indexOf(a) - order.indexOf(b));
    for (const other of others) counts.set(`${first} ${other}`, (counts.get(`${first} ${other}`) ?? 0) + 1);
  }
  const isSection = (name: string | undefined): name is Section => sections.some((one) => one === name);
  return [...counts].flatMap(([key, nets]) => {
    const [from, to] = key.split(" ");
    return isSection(from) && isSection(to) ? [{ from, to, nets }] : [];
  });
}

/** A line from the middle of one box to the middle of another; the boxes are drawn over its ends. */
function drawLink(blocks: readonly Block[], from: Section, to: Section, nets: number): string[] {
  const ends = [from, to].map((section) => blocks.find((block) => block.section === section));
  const [a, b] = ends.map((block) =>
    block === undefined ? undefined : ([block.x + boxWidth / 2, block.y + block.height / 2] as const),
  );
  if (a === undefined || b === undefined) return [];
  const width = Math.min(10, 1.5 + nets / 3);
  const [x, y] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  return [
    element("path", { d: pathData([a, b], "open"), stroke: "#8a9a92", "stroke-width": width, fill: "none" }),
    element("text", { x: x + 6, y: y - 4, fill: "#54615a", "font-size": 11 }, String(nets)),
  ];
}

function drawBlock({ section, lines, x, y, height }: Block): string {
  const assumed = lines.every((line) => line.assumed);
  const box = element("rect", {
    x,
    y,
    width: boxWidth,
    height,
    rx: 6,
    fill: "#eef2ee",
    stroke: "#1b211e",
    "stroke-width": 1.5,
    "stroke-dasharray": assumed ? "6 4" : undefined,
  });
  const head = element("text", { x: x + 10, y: y + 20, "font-weight": "bold", fill: "#1b211e" }, section);
  const texts = lines.map((line, i) =>
    element(
      "text",
      { x: x + 10, y: y + headHeight + (i + 0.7) * lineHeight, fill: line.assumed ? "#54615a" : "#1b211e" },
      escapeText(lineText(line)),
    ),
  );
  return element("g", {}, [box, head, ...texts].join(""));
}

function lineText({ type, refs, assumed }: BlockLine): string {
  const more = refs.length - mostNamed;
  const named = refs.slice(0, mostNamed).join(" ") + (more > 0 ? ` +${more}` : "");
  const short = type.length > 18 ? `${type.slice(0, 17)}…` : type;
  return `${assumed ? "? " : ""}${short}  ${named}`;
}
