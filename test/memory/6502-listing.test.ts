import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { loadBoard } from "../../src/app/load-board.js";
import { Cpu6502 } from "../../src/core/cpu/cpu-6502.js";
import { generate6502 } from "../../src/core/memory/self-test/6502-self-test.js";
import { renderSource } from "../../src/core/memory/self-test/listing.js";
import { type PlanOptions, planSelfTest } from "../../src/core/memory/self-test/plan.js";
import { openStore } from "../../src/store/store.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-listing-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const { value: pellow } = loadBoard(openStore(), "pellow-16");

function imageOf(options: PlanOptions) {
  const plan = pellow === undefined ? undefined : planSelfTest(pellow.board, pellow.types, options).value;
  if (plan === undefined) throw new Error("there is no plan");
  return generate6502(plan);
}

const choices: readonly PlanOptions[] = [
  {},
  { clockHertz: 2e6, unitSeconds: 0.1, beacons: ["expansion-select"] },
  { ranges: [{ from: 0, to: 0xfff }], retentionSeconds: 0.1, beacons: ["expansion-select", "loudspeaker"] },
];

function isInstalled(tool: string): boolean {
  return spawnSync(tool, ["--version"]).error === undefined;
}

function run(tool: string, words: readonly string[]): void {
  const { status, stderr } = spawnSync(tool, words, { cwd: folder, encoding: "utf8" });
  expect(status, stderr).toBe(0);
}

function assembled(): Uint8Array {
  return new Uint8Array(readFileSync(join(folder, "theirs.bin")));
}

describe("the listing of a self-test for the 6502", () => {
  it.skipIf(!isInstalled("xa"))(
    "gives the same bytes through xa65 (skipped where it is not installed)",
    () => {
      for (const options of choices) {
        const image = imageOf(options);
        writeFileSync(join(folder, "source.asm"), renderSource(image));
        run("xa", ["-o", "theirs.bin", "source.asm"]);
        expect(assembled()).toEqual(image.bytes);
      }
    },
  );

  it.skipIf(!isInstalled("ca65"))(
    "gives the same bytes through ca65 (skipped where it is not installed)",
    () => {
      for (const options of choices) {
        const image = imageOf(options);
        // The two assemblers agree on instructions and tables, not on the words for a place and for a gap.
        const source = renderSource(image)
          .replace(/^ *\*=(\d+)/m, ".org $1")
          .replaceAll(".dsb", ".res");
        writeFileSync(join(folder, "source.s"), source);
        writeFileSync(
          join(folder, "rom.cfg"),
          `MEMORY { ROM: start = 0, size = ${image.bytes.length}, file = "theirs.bin"; } SEGMENTS { CODE: load = ROM, type = ro; }`,
        );
        run("ca65", ["-o", "source.o", "source.s"]);
        run("ld65", ["-C", "rom.cfg", "source.o"]);
        expect(assembled()).toEqual(image.bytes);
      }
    },
  );
});

interface OtherState {
  readonly registers: { readonly a: number; readonly x: number; readonly y: number; readonly stkp: number };
  readonly pc: number;
}

interface OtherCpu {
  emulate(): { readonly cycle: number };
  getState(): OtherState;
}

type OtherConstructor = new (
  read: (address: number) => number,
  write: (address: number, value: number) => void,
) => OtherCpu;

function isConstructor(value: unknown): value is OtherConstructor {
  return typeof value === "function";
}

function loadOther(): OtherConstructor {
  const loaded: unknown = createRequire(import.meta.url)("mos6502");
  const found =
    typeof loaded === "object" && loaded !== null && "default" in loaded ? loaded.default : loaded;
  if (!isConstructor(found)) throw new Error("mos6502 exports no class");
  return found;
}

/** Memory of a machine with the self-test in its ROM. */
function machineOf(bytes: Uint8Array): {
  read(address: number): number;
  write(address: number, value: number): void;
} {
  const memory = new Uint8Array(0x10000).fill(0xa5);
  memory.set(bytes, 0x10000 - bytes.length);
  return {
    read: (address) => memory[address] ?? 0,
    write: (address, value) => {
      if (address < 0x4000) memory[address] = value;
    },
  };
}

describe("the self-test for the 6502 on an independent core", () => {
  it("goes the same way, instruction for instruction, through a whole round", () => {
    const image = imageOf({
      ranges: [{ from: 0, to: 0x1ff }],
      unitSeconds: 0.001,
      retentionSeconds: 0.01,
    });
    const own = machineOf(image.bytes);
    const cpu = new Cpu6502({ read: own.read, write: own.write });
    const theirs = machineOf(image.bytes);
    const Other = loadOther();
    const other = new Other(theirs.read, theirs.write);
    cpu.reset();
    const sent = image.symbols.get("sent");
    const start = other.getState();
    cpu.setRegisters({ ...start.registers, s: start.registers.stkp });
    let rounds = 0;
    let steps = 0;
    for (; rounds < 1 && steps < 2e6; steps += 1) {
      const mine = cpu.registers;
      const state = other.getState();
      if (
        mine.pc !== state.pc ||
        mine.a !== state.registers.a ||
        mine.x !== state.registers.x ||
        mine.y !== state.registers.y
      )
        expect({ steps, ...mine }).toEqual({ ...state, ...state.registers });
      if (mine.pc === sent) rounds += 1;
      cpu.step();
      for (let left = other.emulate().cycle; left > 0; left -= 1) other.emulate();
    }
    expect(rounds).toBe(1);
    expect(cpu.registers.a).toBe(39);
    expect(cpu.stopped).toBeUndefined();
    expect(steps).toBeGreaterThan(100_000);
  });
});
