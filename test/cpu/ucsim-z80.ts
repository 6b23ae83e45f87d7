import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** What the simulator of the Debian package sdcc-ucsim says after one step. */
export interface SimulatorStep {
  /** Clock cycles of the step. */
  readonly ticks: number;
  readonly pc: number;
  readonly sp: number;
  readonly a: number;
  readonly f: number;
  readonly bc: number;
  readonly de: number;
  readonly hl: number;
  readonly ix: number;
  readonly iy: number;
}

/** Why there is no second opinion on the Z80 here; undefined if there is one. */
export function simulatorAbsent(): string | undefined {
  const { error } = spawnSync("sz80", ["-v"], { stdio: "ignore", timeout: 20_000 });
  return error === undefined ? undefined : "sz80 of the Debian package sdcc-ucsim is not installed";
}

/** Runs `count` single steps from address 0 of a memory of 64 KiB and returns what was said after each. */
export function simulatorSteps(memory: Uint8Array, count: number): SimulatorStep[] {
  const folder = mkdtempSync(join(tmpdir(), "boardwake-z80-"));
  try {
    const file = join(folder, "memory.hex");
    writeFileSync(file, intelHex(memory));
    const { stdout } = spawnSync("sz80", ["-q", "-b", file], {
      input: `${"step\n".repeat(count)}quit\n`,
      encoding: "utf8",
      maxBuffer: 2 ** 28,
      timeout: 100_000,
    });
    return stdout
      .split(/^Stop at /m)
      .slice(1)
      .flatMap(parseStep);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function parseStep(block: string): SimulatorStep[] {
  const ticks = /stepped (\d+) ticks/.exec(block)?.[1];
  const pc = /^0x([0-9a-f]+)/.exec(block)?.[1];
  if (ticks === undefined || pc === undefined) return [];
  const register = (name: string): number =>
    Number.parseInt(new RegExp(`\\b${name}= 0x([0-9a-f]+)`).exec(block)?.[1] ?? "x", 16);
  return [
    {
      ticks: Number(ticks),
      pc: Number.parseInt(pc, 16) & 0xffff,
      sp: register("SP"),
      a: register("A"),
      f: register("Flags"),
      bc: register("BC"),
      de: register("DE"),
      hl: register("HL"),
      ix: register("IX"),
      iy: register("IY"),
    },
  ];
}

function intelHex(memory: Uint8Array): string {
  const lines: string[] = [];
  for (let at = 0; at < memory.length; at += 32) {
    const data = [...memory.subarray(at, at + 32)];
    const record = [data.length, at >> 8, at & 0xff, 0, ...data];
    const sum = record.reduce((total, byte) => total + byte, 0);
    lines.push(`:${[...record, -sum & 0xff].map((byte) => byte.toString(16).padStart(2, "0")).join("")}`);
  }
  return `${lines.join("\n")}\n:00000001ff\n`;
}
