import type { SelfTestPlan } from "./plan.js";
import { type CodeZ80, cyclesOf } from "./z80-code.js";
import { field } from "./z80-tables.js";

/** Bytes handled in one round of a loop: fewer jumps, longer code. */
const unrolled = 8;

/**
 * The routines that go over a range. They take the range from IX, the word that is expected or written as 0 in D, as 1 in
 * E, and collect wrong bits in B; A, C, H and L are used.
 *
 * - `fill`: ⇑(w D)
 * - `turn_up`, `turn_down`: ⇑(r D, w E), ⇓(r D, w E)
 * - `look`: ⇑(r D)
 */
export function addMarchRoutines(code: CodeZ80): void {
  const wrongBits = ["ld a,(hl)", "xor d", "or b", "ld b,a"];
  addUp(code, "fill", ["ld (hl),d"], "write D upwards");
  addUp(code, "turn_up", [...wrongBits, "ld (hl),e"], "read D and write E upwards");
  addUp(code, "look", wrongBits, "read D upwards");
  code.label("turn_down", "read D and write E downwards");
  code.add([`ld h,(ix+${field.endPage})`, `ld c,(ix+${field.pages})`]);
  code.label("turn_down_page");
  code.add(["dec h", "ld l,0"]);
  code.label("turn_down_round");
  for (let k = 0; k < unrolled; k += 1) code.add(["dec l", ...wrongBits, "ld (hl),e"]);
  code.add(["ld a,l", "or a", "jp nz,turn_down_round", "dec c", "jp nz,turn_down_page", "jp (iy)"]);
}

function addUp(code: CodeZ80, name: string, step: readonly string[], comment: string): void {
  code.label(name, comment);
  code.add([`ld h,(ix+${field.firstPage})`, "ld l,0", `ld c,(ix+${field.pages})`]);
  code.label(`${name}_round`);
  for (let k = 0; k < unrolled; k += 1) code.add([...step, "inc l"]);
  code.add([`jp nz,${name}_round`, "inc h", "dec c", `jp nz,${name}_round`, "jp (iy)"]);
}

/** March C- with the word in D and its complement in E: ⇕(w0);⇑(r0,w1);⇑(r1,w0);⇓(r0,w1);⇓(r1,w0);⇕(r0). */
export function addMarchPass(code: CodeZ80): void {
  code.add("ld b,0", "March C-, one background");
  code.run("fill");
  for (const routine of ["turn_up", "turn_up", "turn_down", "turn_down"]) {
    code.run(routine);
    addSwap(code);
  }
  code.run("look");
}

/** Exchanges D and E. */
export function addSwap(code: CodeZ80): void {
  code.add(["ld a,d", "ld d,e", "ld e,a"], "0 and 1 change places");
}

/** A row of dynamic memory must be refreshed within this time: 2 ms for 128 rows, 4 ms for 256. From memory of data sheets. */
const refreshSecondsPerRow = 2e-3 / 128;

/**
 * The routine `pause`: leaves the memory alone for the time of the plan. Where the processor refreshes, the fetches of a
 * short loop would refresh far more often than the chips ask for and hide a leaking cell. So R is held, and only before
 * the time of the chips is up a row of plain instructions lets it run through all rows, also first and last. B, D and E are kept.
 */
export function addPause(code: CodeZ80, plan: SelfTestPlan): void {
  const isRefreshed = plan.refresh?.by === "processor";
  const rows = plan.refresh?.rows ?? 128;
  const hold = ["ld a,c", "ld r,a"];
  const tail = ["dec hl", "ld a,h", "or l", "jp nz,pause_hold"];
  const burst = ["nop", "nop", "nop", "dec c"];
  const fetches = 5;
  const turns = Math.ceil(128 / fetches) + 1;
  const halves = rows > 128 ? 2 : 1;
  const burstCycles = halves * (turns * cyclesOf([...burst, "jp nz,0"]) + 60);
  const windowCycles = refreshSecondsPerRow * rows * plan.clockHertz * 0.9 - burstCycles;
  const roundCycles = cyclesOf(isRefreshed ? [...hold, ...tail] : tail);
  const holdRounds = Math.max(1, Math.floor(windowCycles / roundCycles));
  const total = Math.round(
    (plan.retentionSeconds * plan.clockHertz) / (holdRounds * roundCycles + burstCycles),
  );
  code.label("pause", "the memory is left alone");
  code.add(["exx", `ld hl,${Math.max(1, Math.min(0xfffe, total)) + 1}`, "exx"], "turns, and one");
  code.label("pause_turn");
  if (isRefreshed)
    for (let half = 0; half < halves; half += 1) {
      const again = half === 0 ? "pause_rows" : "pause_rows_high";
      const which = half === 0 ? "the lower" : "the upper";
      code.add(
        [`ld a,${half === 0 ? "0" : "80h"}`, "ld r,a", `ld c,${turns}`],
        `R runs through ${which} 128 rows`,
      );
      code.label(again);
      code.add([...burst, `jp nz,${again}`]);
    }
  code.add(["exx", "dec hl", "ld a,h", "or l", "ld a,l", "exx", "jp z,pause_end"]);
  if (isRefreshed) code.add(["and 7Fh", "ld c,a"], "rows near this one stay refreshed in this turn");
  code.add(`ld hl,${holdRounds}`);
  code.label("pause_hold");
  if (isRefreshed) code.add(hold, "R stands still");
  code.add([...tail, "jp pause_turn"]);
  code.label("pause_end");
  code.add("jp (iy)");
}
