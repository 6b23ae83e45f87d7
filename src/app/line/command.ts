/** What can be asked of a session besides making entries. */
export type Command =
  | { readonly name: "undo" | "suspects" | "groups" | "next" | "log" | "symptoms" | "help" | "quit" }
  | { readonly name: "why"; readonly part: string }
  | { readonly name: "strike"; readonly entry: number }
  | { readonly name: "save"; readonly file: string; readonly overwrite: boolean };

/** All command words. */
export const commandNames = [
  "undo",
  "why",
  "suspects",
  "groups",
  "next",
  "log",
  "strike",
  "symptoms",
  "save",
  "overwrite",
  "help",
  "quit",
] as const;

const aliases: Readonly<Record<string, string>> = { exit: "quit", q: "quit", "?": "help" };

/** Reads a command; undefined if the line is none, a sentence if it is one with something missing. */
export function readCommand(
  words: readonly string[],
): Command | { readonly message: string; readonly hint: string } | undefined {
  const [first = "", ...rest] = words;
  const name = aliases[first.toLowerCase()] ?? first.toLowerCase();
  const [second] = rest;
  switch (name) {
    case "undo":
    case "suspects":
    case "groups":
    case "next":
    case "log":
    case "symptoms":
    case "help":
    case "quit":
      return rest.length === 0 ? { name } : undefined;
    case "why":
      if (second !== undefined) return { name, part: second };
      return { message: "'why' needs a part", hint: "For example: why U12." };
    case "strike": {
      const entry = Number(second);
      if (Number.isInteger(entry) && entry > 0) return { name, entry };
      return { message: "'strike' needs the number of an entry", hint: "'log' lists them with numbers." };
    }
    case "save":
    case "overwrite":
      if (second !== undefined)
        return { name: "save", file: rest.join(" "), overwrite: name === "overwrite" };
      return { message: `'${name}' needs the name of a file`, hint: `For example: ${name} my-machine.json.` };
    default:
      return undefined;
  }
}
