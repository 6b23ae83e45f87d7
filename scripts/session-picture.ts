import { run } from "../src/cli/run.js";
import { openStore } from "../src/store/store.js";
import type { GeneratedFile } from "./generated-files.js";
import { noBench, noBytes } from "./no-bench.js";
import { renderTerminal } from "./render-terminal.js";

const command = "boardwake demo --no-pause";
const dim = (text: string): string => `\u001b[2m${text}\u001b[22m`;

/** The picture in the README: real output of the guided session, of which the picture shows two pieces. */
export async function renderSessionPicture(): Promise<GeneratedFile> {
  const parts: string[] = [];
  const io = {
    out: (text: string) => void parts.push(text),
    err: () => {},
    readAll: () => Promise.resolve(""),
    readBytes: noBytes,
    readLine: () => Promise.resolve(undefined),
    close: () => {},
    isInteractive: false,
    hasColour: true,
  };
  const code = await run(["demo", "--no-pause"], { io, store: openStore(), bench: noBench, version: "" });
  if (code !== 0) throw new Error(`the guided session ended with code ${code}`);
  const shown = excerpt(parts.join(""));
  return {
    path: "docs/images/find-session.svg",
    text: renderTerminal(`${dim(`$ ${command}`)}\n${shown}`, command),
  };
}

/** The last step card with what its answer did to the suspects, and the end: the named suspect and why. */
function excerpt(text: string): string {
  const lines = text.split("\n");
  const from = (pattern: RegExp, start: number): number => {
    const found = lines.findIndex((line, i) => i >= start && pattern.test(line));
    if (found < 0) throw new Error(`the guided session prints no line like ${pattern}`);
    return found;
  };
  const card = lines.findLastIndex((line) => line.includes("Next step:"));
  if (card < 0) throw new Error("the guided session shows no step");
  const afterCard = from(/^$/, from(/Suspects/, card));
  const last = lines.findLastIndex((line) => line.includes("Suspects"));
  const end = lines.findLastIndex((line) => line.includes("What the plan would do now"));
  const gap = [dim("  …"), ""];
  return [...gap, ...lines.slice(card, afterCard + 1), ...gap, ...lines.slice(last, end)].join("\n");
}
