import { type TapeScheme, tapeSchemeSchema } from "../../../core/tape/scheme.js";

/** Schemes that come with the program: they are data, and travel with the page so that it reads tapes by itself. */
const files = import.meta.glob("../../../../data/tape-schemes/*.json", { eager: true, import: "default" });

let known: readonly TapeScheme[] | undefined;

/** The schemes that come with the program, by title. */
export function knownSchemes(): readonly TapeScheme[] {
  known ??= Object.values(files)
    .map((file) => tapeSchemeSchema.parse(file))
    .sort((a, b) => a.title.localeCompare(b.title));
  return known;
}

/** Lengths of the cycles of a scheme in seconds, for the lines in the band of intervals. */
export function expectedCycles({ signal }: TapeScheme): number[] {
  switch (signal.kind) {
    case "tones":
      return [1 / signal.highHz, 2 / signal.highHz];
    case "phase":
      return [signal.bitMicroseconds * 1e-6, signal.bitMicroseconds * 2e-6];
    case "pulses": {
      const factor = signal.measure === "half-wave" ? 2e-6 : 1e-6;
      return signal.lengths.map(({ microseconds }) => microseconds * factor);
    }
  }
}

/** What a scheme's text says, or what is wrong with it. */
export type SchemeText = { readonly scheme: TapeScheme } | { readonly problem: string };

/** Reads a scheme file. */
export function parseScheme(text: string): SchemeText {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (cause) {
    return { problem: `This is not JSON: ${cause instanceof Error ? cause.message : String(cause)}` };
  }
  const parsed = tapeSchemeSchema.safeParse(value);
  if (parsed.success) return { scheme: parsed.data };
  const [issue] = parsed.error.issues;
  const place = issue === undefined || issue.path.length === 0 ? "" : `${issue.path.join(".")}: `;
  return { problem: `This is no tape scheme. ${place}${issue?.message ?? ""}` };
}
