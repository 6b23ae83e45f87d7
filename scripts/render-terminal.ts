/** How a piece of text looks on a terminal. Colour 0 to 7 are the usual eight, 8 to 15 their bright forms. */
interface Look {
  readonly bold: boolean;
  readonly dim: boolean;
  readonly italic: boolean;
  readonly underline: boolean;
  readonly inverse: boolean;
  readonly colour: number | undefined;
}

/** A run of characters with one look. */
interface Run {
  readonly text: string;
  readonly look: Look;
}

const plain: Look = {
  bold: false,
  dim: false,
  italic: false,
  underline: false,
  inverse: false,
  colour: undefined,
};

const fontSize = 14;
const characterWidth = 8.4;
const lineHeight = 19;
const margin = 14;

/** Colours of text for a light and a dark page, in the order black, red, green, yellow, blue, magenta, cyan, white. */
const lightColours = ["#24292f", "#b3261e", "#1a6b35", "#7a4f00", "#0b57a4", "#8a2a78", "#0b6470", "#57606a"];
const darkColours = ["#d0d7de", "#ff8a80", "#7ee2a0", "#f2cc60", "#8cc2ff", "#f0a6e0", "#7de0ee", "#afb8c1"];

/**
 * A picture (SVG) of what a terminal shows after `text` was printed to it. Understands the escape sequences that set
 * looks and the sixteen colours (ECMA-48, 5th edition, section 8.3.117, SGR) and drops all others. Every character is
 * taken to be one column wide. `title` is read out by screen readers. Same text, same picture.
 */
export function renderTerminal(text: string, title: string): string {
  const lines = readLines(text.replace(/\r\n/g, "\n").replace(/\n+$/, ""));
  const columns = Math.max(
    20,
    ...lines.map((runs) => runs.reduce((sum, run) => sum + [...run.text].length, 0)),
  );
  const width = round(columns * characterWidth + 2 * margin);
  const height = lines.length * lineHeight + 2 * margin;
  const body = lines
    .map((runs, i) => renderLine(runs, margin + i * lineHeight))
    .filter((line) => line !== "");
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" xml:space="preserve">`,
    `<title>${escapeText(title)}</title>`,
    `<style>\n${styleSheet()}</style>`,
    `<rect class="page" width="${width}" height="${height}" rx="6"/>`,
    ...body,
    "</svg>\n",
  ].join("\n");
}

function styleSheet(): string {
  const colours = (list: readonly string[]): string =>
    list.map((colour, i) => `.c${i}{fill:${colour}}.b${i}{fill:${colour}}`).join("");
  const page = (back: string, front: string): string =>
    `.page{fill:${back};stroke:#8c959f}text{fill:${front}}.on{fill:${back}}`;
  return [
    `text{font:${fontSize}px ui-monospace,"DejaVu Sans Mono",Menlo,Consolas,monospace;white-space:pre}`,
    page("#ffffff", "#24292f") + colours(lightColours),
    ".bold{font-weight:700}.dim{opacity:.7}.italic{font-style:italic}.underline{text-decoration:underline}",
    `@media (prefers-color-scheme:dark){${page("#0d1117", "#d0d7de")}${colours(darkColours)}}`,
    "",
  ].join("\n");
}

function renderLine(runs: readonly Run[], top: number): string {
  const parts: string[] = [];
  let column = 0;
  for (const { text, look } of runs) {
    const length = [...text].length;
    const x = round(margin + column * characterWidth);
    const width = round(length * characterWidth);
    column += length;
    if (text.trim() === "" && !look.inverse) continue;
    const colour = look.colour === undefined ? "" : `c${look.colour % 8}`;
    if (look.inverse) {
      const back = `b${look.colour === undefined ? 0 : look.colour % 8}`;
      parts.push(`<rect class="${back}" x="${x}" y="${top}" width="${width}" height="${lineHeight}"/>`);
    }
    const classes = [
      look.inverse ? "on" : colour,
      look.bold || (look.colour ?? 0) > 7 ? "bold" : "",
      look.dim ? "dim" : "",
      look.italic ? "italic" : "",
      look.underline ? "underline" : "",
    ].filter((name) => name !== "");
    const attribute = classes.length === 0 ? "" : ` class="${classes.join(" ")}"`;
    const y = top + lineHeight - 5;
    // A fixed length keeps columns under each other whatever font the reader has.
    parts.push(`<text${attribute} x="${x}" y="${y}" textLength="${width}">${escapeText(text)}</text>`);
  }
  return parts.join("\n");
}

/** Splits text into lines of runs; a look set on one line holds on the next. */
function readLines(text: string): Run[][] {
  let look = plain;
  return text.split("\n").map((line) => {
    const runs: Run[] = [];
    let rest = line;
    while (rest !== "") {
      // biome-ignore lint/suspicious/noControlCharactersInRegex: escape sequences begin with a control character
      const sequence = /^\u001b\[([\d;?]*)([A-Za-z])/.exec(rest);
      if (sequence !== null) {
        if (sequence[2] === "m") look = changeLook(look, (sequence[1] ?? "").split(";").map(Number));
        rest = rest.slice(sequence[0].length);
        continue;
      }
      const next = rest.indexOf("\u001b", 1);
      const piece = next === -1 ? rest : rest.slice(0, next);
      // biome-ignore lint/suspicious/noControlCharactersInRegex: what is left of them shows nothing
      runs.push({ text: piece.replace(/[\u0000-\u001f\u007f]/g, ""), look });
      rest = rest.slice(piece.length);
    }
    return runs.filter((run) => run.text !== "");
  });
}

function changeLook(look: Look, codes: readonly number[]): Look {
  let next = look;
  for (const code of codes) {
    if (code === 0) next = plain;
    else if (code === 1) next = { ...next, bold: true };
    else if (code === 2) next = { ...next, dim: true };
    else if (code === 3) next = { ...next, italic: true };
    else if (code === 4) next = { ...next, underline: true };
    else if (code === 7) next = { ...next, inverse: true };
    else if (code === 22) next = { ...next, bold: false, dim: false };
    else if (code === 23) next = { ...next, italic: false };
    else if (code === 24) next = { ...next, underline: false };
    else if (code === 27) next = { ...next, inverse: false };
    else if (code === 39) next = { ...next, colour: undefined };
    else if (code >= 30 && code <= 37) next = { ...next, colour: code - 30 };
    else if (code >= 90 && code <= 97) next = { ...next, colour: code - 90 + 8 };
  }
  return next;
}

function escapeText(text: string): string {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
}

function round(value: number): number {
  return Number(value.toFixed(1));
}
