import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import type { Ports } from "./ports.js";
import { ground, railNet } from "./sketch-part.js";

const numbered = (name: string, count: number): string[] =>
  Array.from({ length: count }, (_, i) => `${name} ${i}`);

/** A key matrix: columns pulled low one by one, rows pulled up and read. */
export function wireKeyboard(builder: SketchBuilder, blocks: Blocks, ports: Ports, direct: boolean): void {
  if (blocks.keyboard === undefined) return;
  const columns = numbered(
    "KEY COLUMN",
    direct ? Math.min(blocks.keyboard.columns, 8) : blocks.keyboard.columns,
  );
  const rows = numbered("KEY ROW", 7);
  const section = "keyboard";
  if (direct) for (const net of columns) ports.out(net);
  else {
    const select = numbered("KEY SELECT", columns.length > 8 ? 4 : 3);
    for (const net of select) ports.out(net);
    const pins: Record<string, string> = {
      A: select[0] ?? ground,
      B: select[1] ?? ground,
      C: select[2] ?? ground,
      D: select[3] ?? ground,
    };
    columns.forEach((net, i) => {
      pins[`/Y${i}`] = net;
    });
    builder.add({ type: "74LS145", section, pins });
    pullUps(builder, columns);
  }
  pullUps(builder, rows);
  for (const net of rows) {
    ports.sense(net);
    builder.steady[net] = "released";
  }
  const matrix = Object.fromEntries([...columns, ...rows].map((net, i) => [String(i + 1), net]));
  if (blocks.keyboard.ribbon)
    builder.add({ type: "connector", letter: "J", value: "keyboard ribbon", section, pins: matrix });
  builder.add({ type: "keyboard", letter: "KB", section, known: true, pins: matrix });
  builder.chain.keys = { drive: columns, sense: rows };
}

function pullUps(builder: SketchBuilder, nets: readonly string[]): void {
  for (let from = 0; from < nets.length; from += 8) {
    const own = nets.slice(from, from + 8);
    const pins = Object.fromEntries([railNet(5), ...own].map((net, i) => [String(i + 1), net]));
    builder.add({ type: "resistor-network", letter: "RN", value: "10k", section: "keyboard", pins });
  }
}

/** A transistor and the loudspeaker behind a line that beeps. */
export function wireSpeaker(
  builder: SketchBuilder,
  source: string,
  startBeep: boolean,
  before: readonly string[],
): void {
  const section = "sound";
  builder.between("resistor", "R", "2k2", [source, "SPEAKER BASE"], section);
  const pins = { E: ground, B: "SPEAKER BASE", C: "SPEAKER DRIVE" };
  builder.add({ type: "transistor-npn", letter: "Q", value: "BC337", section, pins });
  builder.between("resistor", "R", "47", ["SPEAKER DRIVE", "SPEAKER"], section);
  builder.between("loudspeaker", "LS", "64 ohm", [railNet(5), "SPEAKER"], section);
  builder.chain.sound = { nets: [...before, source, "SPEAKER BASE", "SPEAKER DRIVE", "SPEAKER"], startBeep };
}

/** Comparator for replay, divider for recording, and a transistor for the motor. */
export function wireTape(builder: SketchBuilder, blocks: Blocks, ports: Ports): void {
  if (blocks.tape === undefined) return;
  const section = "tape";
  builder.between("capacitor-film", "C", "100n", ["TAPE IN", "TAPE AC"], section);
  builder.between("resistor", "R", "100k", ["TAPE AC", ground], section);
  builder.between("resistor", "R", "10k", ["TAPE AC", "TAPE LEVEL"], section);
  builder.between("resistor", "R", "10k", [railNet(5), "TAPE HALF"], section);
  builder.between("resistor", "R", "10k", ["TAPE HALF", ground], section);
  builder.add({
    type: "LM393",
    section,
    pins: {
      "1IN+": "TAPE LEVEL",
      "1IN-": "TAPE HALF",
      "1OUT": "TAPE READ",
      "2IN+": ground,
      "2IN-": "TAPE HALF",
    },
  });
  builder.between("resistor", "R", "4k7", [railNet(5), "TAPE READ"], section);
  builder.between("resistor", "R", "47k", ["TAPE WRITE", "TAPE OUT"], section);
  builder.between("resistor", "R", "1k", ["TAPE OUT", ground], section);
  ports.sense("TAPE READ");
  ports.out("TAPE WRITE");
  builder.steady["TAPE IN"] = "pulsing";
  const plug = ["TAPE OUT", ground, "TAPE IN"];
  const motor: string[] = [];
  if (blocks.tape.motor) {
    ports.out("TAPE RUN");
    builder.between("resistor", "R", "1k", ["TAPE RUN", "MOTOR BASE"], section);
    const pins = { E: ground, B: "MOTOR BASE", C: "TAPE MOTOR" };
    builder.add({ type: "transistor-npn", letter: "Q", value: "BC337", section, pins });
    plug.push("TAPE MOTOR");
    motor.push("TAPE RUN", "MOTOR BASE", "TAPE MOTOR");
  }
  builder.between("connector", "J", "tape socket", plug, section);
  builder.chain.tape = {
    input: ["TAPE IN", "TAPE AC", "TAPE LEVEL", "TAPE HALF", "TAPE READ"],
    output: ["TAPE WRITE", "TAPE OUT"],
    motor,
  };
}

/** Buffers between the processor and an expansion connector. */
export function wireBuffers(builder: SketchBuilder, blocks: Blocks): void {
  const section = "io";
  const plug: string[] = [];
  for (const { of, type, refs = [] } of blocks.buffers) {
    const lines = Array.from(
      { length: of === "data" ? 8 : 16 },
      (_, i) => `${of === "data" ? "D" : "A"}${i}`,
    );
    const own = [...refs];
    if (of === "data") {
      // Towards the connector only: what an expansion answers is not modelled.
      const pins: Record<string, string> = { DIR: railNet(5), "/G": ground };
      lines.forEach((net, i) => {
        pins[`A${i + 1}`] = net;
        pins[`B${i + 1}`] = `X${net}`;
      });
      builder.add({ type: "74LS245", section, ref: own.shift(), pins });
    } else {
      const slots = type === "74LS367" ? 6 : 8;
      for (let from = 0; from < lines.length; from += slots)
        builder.add({
          type: type === "74LS367" ? type : "74LS244",
          section,
          ref: own.shift(),
          pins: bufferPins(slots, lines.slice(from, from + slots)),
        });
    }
    plug.push(...lines.map((net) => `X${net}`));
  }
  if (plug.length > 0) builder.between("edge-connector", "J", "expansion", plug, section);
}

/** The 74LS244 has two groups of four buffers, the 74LS367 one of four and one of two. */
function bufferPins(slots: number, lines: readonly string[]): Record<string, string> {
  const pins: Record<string, string> = { "/1G": ground, "/2G": ground };
  for (let i = 0; i < slots; i += 1) {
    const net = lines[i];
    const place = `${i < 4 ? 1 : 2}%${(i % 4) + 1}`;
    pins[place.replace("%", "A")] = net ?? ground;
    if (net !== undefined) pins[place.replace("%", "Y")] = `X${net}`;
  }
  return pins;
}
