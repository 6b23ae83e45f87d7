import { readFileSync } from "node:fs";
import { join } from "node:path";
import { run } from "../src/cli/run.js";
import { openStore } from "../src/store/store.js";
import { type GeneratedFile, repositoryRoot } from "./generated-files.js";
import { noBench, noBytes } from "./no-bench.js";

const page = "docs/guide/finding-a-fault.md";

/**
 * A marked block of the guide: a comment `<!-- $ boardwake ... -->`, perhaps with `| from "text" to "text"` to show a
 * piece of the output only, and the block of text below it.
 */
const marked = /<!-- \$ boardwake (.*?)(?: \| from "(.*?)" to "(.*?)")? -->\n\n```text\n[\s\S]*?```/g;

/** The guide with every marked block holding what its command prints now. */
export async function renderGuide(): Promise<GeneratedFile> {
  const text = readFileSync(join(repositoryRoot, page), "utf8");
  const printed = new Map<string, string>();
  for (const [, command = ""] of text.matchAll(marked))
    if (!printed.has(command)) printed.set(command, await outputOf(command));
  const filled = text.replace(marked, (block, command: string, from?: string, to?: string) => {
    const [comment = ""] = block.split("\n");
    const shown = piece(printed.get(command) ?? "", from, to);
    return `${comment}\n\n\`\`\`text\n$ boardwake ${command}\n${shown}\n\`\`\``;
  });
  return { path: page, text: filled };
}

async function outputOf(command: string): Promise<string> {
  const parts: string[] = [];
  const io = {
    out: (text: string) => void parts.push(text),
    err: (text: string) => void parts.push(text),
    readAll: () => Promise.resolve(""),
    readBytes: noBytes,
    readLine: () => Promise.resolve(undefined),
    close: () => {},
    isInteractive: false,
    hasColour: false,
  };
  const words = command.split(" ").map((word) => word.replace(/^docs\//, `${repositoryRoot}docs/`));
  await run(words, { io, store: openStore(), bench: noBench, version: "" });
  return parts.join("").trimEnd();
}

/** Lines from the first that begins with `from` up to the one before the next that begins with `to`. */
function piece(text: string, from: string | undefined, to: string | undefined): string {
  if (from === undefined || to === undefined) return text;
  const lines = text.split("\n");
  const first = lines.findIndex((line) => line.startsWith(from));
  if (first < 0) throw new Error(`no line begins with '${from}'`);
  const end = lines.findIndex((line, i) => i > first && line.startsWith(to));
  const shown = lines.slice(first, end < 0 ? lines.length : end);
  const before = first === 0 ? [] : ["…"];
  const after = end < 0 ? [] : ["…"];
  return [...before, ...shown, ...after].join("\n").replace(/\n+…$/, "\n…");
}
