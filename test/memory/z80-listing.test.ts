import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { loadBoard } from "../../src/app/load-board.js";
import { renderSource } from "../../src/core/memory/self-test/listing.js";
import { type PlanOptions, planSelfTest } from "../../src/core/memory/self-test/plan.js";
import { generateZ80 } from "../../src/core/memory/self-test/z80-self-test.js";
import { openStore } from "../../src/store/store.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-listing-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const { value: merrow } = loadBoard(openStore(), "merrow");

function imageOf(options: PlanOptions) {
  const plan = merrow === undefined ? undefined : planSelfTest(merrow.board, merrow.types, options).value;
  if (plan === undefined) throw new Error("there is no plan");
  return generateZ80(plan);
}

const choices: readonly PlanOptions[] = [
  {},
  { refreshRows: 256, clockHertz: 2.5e6, unitSeconds: 0.3, beacons: ["spare-port"] },
  { ranges: [{ from: 0x3000, to: 0x47ff }], retentionSeconds: 0, beacons: ["spare-port", "loudspeaker"] },
];

function isInstalled(tool: string): boolean {
  return spawnSync(tool, ["--version"]).error === undefined;
}

function run(tool: string, words: readonly string[]): string {
  const { status, stdout, stderr } = spawnSync(tool, words, { cwd: folder, encoding: "utf8" });
  expect(status, stderr).toBe(0);
  return stdout;
}

describe("the listing of a self-test for the Z80", () => {
  it.skipIf(!isInstalled("pasmo"))(
    "gives the same bytes through pasmo (skipped where it is not installed)",
    () => {
      for (const options of choices) {
        const image = imageOf(options);
        writeFileSync(join(folder, "source.asm"), renderSource(image));
        run("pasmo", ["source.asm", "theirs.bin"]);
        expect(new Uint8Array(readFileSync(join(folder, "theirs.bin")))).toEqual(image.bytes);
      }
    },
  );

  it.skipIf(!isInstalled("z80asm"))(
    "gives the same bytes through z80asm (skipped where it is not installed)",
    () => {
      for (const options of choices) {
        const image = imageOf(options);
        writeFileSync(join(folder, "source.asm"), renderSource(image));
        run("z80asm", ["-o", "theirs.bin", "source.asm"]);
        expect(new Uint8Array(readFileSync(join(folder, "theirs.bin")))).toEqual(image.bytes);
      }
    },
  );

  it.skipIf(!isInstalled("z80dasm"))(
    "is what z80dasm reads in the bytes (skipped where it is not installed)",
    () => {
      const image = imageOf({});
      writeFileSync(join(folder, "image.bin"), image.bytes);
      const theirs = new Map(
        run("z80dasm", ["-a", "-g", "0", "image.bin"])
          .split("\n")
          .flatMap((line): [number, string][] => {
            const [, text, address] = /^\t(.*?)\s*;([0-9a-f]{4})\s*$/.exec(line) ?? [];
            return text === undefined || address === undefined
              ? []
              : [[Number.parseInt(address, 16), plain(text)]];
          }),
      );
      const code = image.rows.filter(({ source }) => source !== "" && !/^def[bw]/.test(source));
      expect(code.length).toBeGreaterThan(500);
      for (const { address, source } of code) {
        const named = source.replace(/[a-z_]+\w*$/, (word) => {
          const target = image.symbols.get(word);
          if (target === undefined) return word;
          return source.startsWith("jr")
            ? `$${target < address ? "" : "+"}${target - address}`
            : String(target);
        });
        expect(theirs.get(address), `${address.toString(16)} ${source}`).toBe(plain(named));
      }
    },
  );
});

/** One spelling for numbers and blanks. */
function plain(text: string): string {
  return text
    .replace(/\b0?([0-9a-f]+)h\b/gi, (_, digits: string) => String(Number.parseInt(digits, 16)))
    .replace(/\s+/g, " ");
}
