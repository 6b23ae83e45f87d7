import pc from "picocolors";

/** Widest line of what is printed for people. */
export const pageWidth = 80;

/** Ways of setting text off; plain where colour is not wanted. */
export type Paint = ReturnType<typeof pc.createColors>;

/** Paint with or without colour. */
export function createPaint(hasColour: boolean): Paint {
  return pc.createColors(hasColour);
}

/** Columns a text takes, escape sequences not counted. */
export function widthOf(text: string): number {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: escape sequences begin with a control character
  return [...text.replace(/\u001b\[[0-9;]*m/g, "")].length;
}

/** `text` filled up to `width` columns; longer text stays as it is. */
export function padEnd(text: string, width: number): string {
  return text + " ".repeat(Math.max(0, width - widthOf(text)));
}

/** `text` moved right to end at `width` columns. */
export function padStart(text: string, width: number): string {
  return " ".repeat(Math.max(0, width - widthOf(text))) + text;
}

/** `text` cut to `width` columns, with an ellipsis where something is missing. Plain text only. */
export function cut(text: string, width: number): string {
  const characters = [...text];
  return characters.length <= width ? text : `${characters.slice(0, Math.max(0, width - 1)).join("")}…`;
}

/**
 * Breaks text into lines that fit the page. The first line starts with `first`, the others with as many blanks, or with
 * `rest`. Words longer than a line are cut into pieces.
 */
export function wrap(text: string, first = "", rest = " ".repeat(widthOf(first))): string[] {
  const lines: string[] = [];
  let line = first;
  let room = pageWidth - widthOf(first);
  let isEmpty = true;
  const flush = (): void => {
    lines.push(line);
    line = rest;
    room = pageWidth - widthOf(rest);
    isEmpty = true;
  };
  for (const word of text.split(/\s+/).filter((piece) => piece !== "")) {
    let left = word;
    while (left !== "") {
      const width = widthOf(left) + (isEmpty ? 0 : 1);
      if (width <= room) {
        line += isEmpty ? left : ` ${left}`;
        room -= width;
        isEmpty = false;
        break;
      }
      if (!isEmpty) {
        flush();
        continue;
      }
      const characters = [...left];
      line += characters.slice(0, room).join("");
      left = characters.slice(room).join("");
      flush();
    }
  }
  if (!isEmpty || lines.length === 0) lines.push(line.trimEnd());
  return lines;
}

/** A share as people say it: `42 %`, `3.1 %`, `< 0.1 %`. */
export function percent(share: number): string {
  const value = share * 100;
  if (value > 0 && value < 0.1) return "< 0.1 %";
  return `${value >= 9.95 ? Math.round(value) : value.toFixed(1)} %`;
}

/** Minutes as people say them: `1 min`, `2.5 min`, `1 h 20 min`. */
export function minutesText(minutes: number): string {
  if (minutes >= 90) {
    const whole = Math.round(minutes);
    const rest = whole % 60;
    return `${Math.floor(whole / 60)} h${rest === 0 ? "" : ` ${rest} min`}`;
  }
  const value = minutes >= 10 ? Math.round(minutes) : Number(minutes.toFixed(1));
  return `${value} min`;
}

/** A bar of `width` columns, filled to a share. */
export function bar(share: number, width: number): string {
  const filled = Math.round(Math.min(1, Math.max(0, share)) * width);
  return "█".repeat(filled) + "·".repeat(width - filled);
}

/** First letter in upper case and a full stop at the end. */
export function sentence(text: string): string {
  const end = /[.!?…]$/.test(text) ? "" : ".";
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}${end}`;
}
