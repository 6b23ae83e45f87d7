import { type FreeRunReport, plugResistorOhm } from "../../app/free-run.js";
import { type Paint, padEnd, padStart, wrap } from "../text.js";

/** A free run for people: the plug, the lines, and how readings fit. */
export function renderFreeRun({ run, compared }: FreeRunReport, paint: Paint): string[] {
  const byte = run.instruction.toString(16).toUpperCase().padStart(2, "0");
  const tied = run.plug.filter(({ wired }) => wired !== "through");
  const lines = [
    paint.bold(`${run.title}: ${run.part} runs free at ${rate(run.clockHertz)}`),
    ...wrap("Power off and unplugged while the plug goes in; discharge yourself, and mind pin 1."),
    "",
    ...wrap(
      `Plug: a socket on a socket, all pins through but the data pins. These are cut from the board and tied by ${plugResistorOhm} ohm each, so that the processor reads ${byte}:`,
    ),
    ...tied.map(({ pin, name, wired }) => `  pin ${padStart(pin, 2)} ${padEnd(name, 3)} ${wired}`),
    "",
    ...run.notes.flatMap((note) => wrap(note)),
    "Expected:",
  ];
  for (const { net, part, pin, look, hertz, note } of run.lines)
    lines.push(
      ...wrap(
        note,
        `  ${padEnd(net, 16)} ${padEnd(`${part}.${pin}`, 7)} ${padEnd(look, 7)} ${padStart(hertz === 0 ? "" : rate(hertz), 9)}  `,
      ),
    );
  if (compared.length > 0) lines.push("", "Readings:");
  for (const { line, seen, fits, say } of compared) {
    const mark = fits ? paint.green("fits ") : paint.red("WRONG");
    lines.push(
      `  ${mark} ${padEnd(line.net, 16)} ${padEnd(typeof seen === "number" ? rate(seen) : seen, 10)} ${say}`,
    );
  }
  return lines;
}

/** `62.5 kHz`. */
function rate(hertz: number): string {
  const [value, unit] =
    hertz >= 1e6 ? [hertz / 1e6, "MHz"] : hertz >= 1e3 ? [hertz / 1e3, "kHz"] : [hertz, "Hz"];
  return `${Number(value.toPrecision(4))} ${unit}`;
}
