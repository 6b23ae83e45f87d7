import { blocksPath } from "./blocks.js";
import { element, escapeText } from "./svg.js";

/** One data bit of a memory as blocks of cells, each with its state: 0 not tested, 1 good, 2 some failing, 3 all failing. */
export interface DrawnPanel {
  readonly part: string;
  readonly bit: number;
  /** Blocks in a row. */
  readonly across: number;
  /** [rows of blocks × across] row by row. */
  readonly states: ArrayLike<number>;
  readonly failing: number;
  readonly tested: number;
}

/** The marks of a panel as paths, one unit a block. What fails is told by size and filling, not by colour. */
export interface PanelMarks {
  readonly across: number;
  readonly down: number;
  /** Blocks of which every tested cell fails: full squares. */
  readonly all: string;
  /** Blocks of which some cells fail: smaller squares. */
  readonly some: string;
  /** Blocks that were not tested: a stroke across each. */
  readonly untested: string;
}

const insetOfSome = 0.2;

/** The marks of a panel. */
export function panelMarks({ across, states }: Pick<DrawnPanel, "across" | "states">): PanelMarks {
  const strokes: string[] = [];
  for (let at = 0; at < states.length; at += 1)
    if (states[at] === 0) strokes.push(`M${at % across} ${Math.floor(at / across) + 1}l1 -1`);
  return {
    across,
    down: Math.ceil(states.length / across),
    all: blocksPath(states, across, (state) => state === 3),
    some: blocksPath(states, across, (state) => state === 2, insetOfSome),
    untested: strokes.join(""),
  };
}

/** What a panel says in words: `data bit 2: 128 of 16384 cells fail`. */
export function panelText({ bit, failing, tested }: Pick<DrawnPanel, "bit" | "failing" | "tested">): string {
  if (tested === 0) return `data bit ${bit}: not tested`;
  if (failing === 0) return `data bit ${bit}: good`;
  if (failing === tested) return `data bit ${bit}: all fail`;
  return `data bit ${bit}: ${failing} of ${tested} fail`;
}

const panelSide = 200;
const gap = 24;
const labelHeight = 46;
const panelsAcross = 4;

/** The memory as bits by chip, each as rows by columns, as one SVG element. Colours come from `currentColor`. */
export function renderMemoryMap(title: string, panels: readonly DrawnPanel[]): string {
  const lines = Math.ceil(panels.length / panelsAcross);
  const width = panelsAcross * (panelSide + gap) + gap;
  const height = 50 + lines * (panelSide + labelHeight + gap);
  const drawn = panels.map((panel, k) => {
    const x = gap + (k % panelsAcross) * (panelSide + gap);
    const y = 50 + Math.floor(k / panelsAcross) * (panelSide + labelHeight + gap);
    const marks = panelMarks(panel);
    const frame = element("rect", {
      width: panelSide,
      height: panelSide,
      fill: "none",
      stroke: "currentColor",
      "stroke-width": panel.failing > 0 ? 3 : 1,
    });
    const scale = `scale(${panelSide / marks.across} ${panelSide / marks.down})`;
    const cells = element(
      "g",
      { transform: scale },
      [
        element("path", { d: marks.untested, stroke: "currentColor", "stroke-width": 0.12, fill: "none" }),
        element("path", { d: marks.some, fill: "currentColor" }),
        element("path", { d: marks.all, fill: "currentColor" }),
      ].join(""),
    );
    const words = [
      element("text", { y: panelSide + 20, "font-size": 17, "font-weight": 700 }, escapeText(panel.part)),
      element("text", { y: panelSide + 38, "font-size": 14 }, escapeText(panelText(panel))),
    ];
    return element("g", { transform: `translate(${x} ${y})` }, [cells, frame, ...words].join(""));
  });
  return element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      viewBox: `0 0 ${width} ${height}`,
      role: "img",
      "font-family": "sans-serif",
      fill: "currentColor",
    },
    [
      element("title", {}, escapeText(title)),
      element("text", { x: gap, y: 30, "font-size": 20, "font-weight": 700 }, escapeText(title)),
      ...drawn,
    ].join("\n"),
  );
}
