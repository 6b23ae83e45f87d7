import type { CodeZ80 } from "./z80-code.js";
import { field } from "./z80-tables.js";

/** Address lines of the range at IX: each pair of its table. Goes on to `report` if a line is bad. */
export function addAddressLines(code: CodeZ80): void {
  code.label("pairs", "address lines: two places that differ in one line");
  code.add(["exx", `ld l,(ix+${field.pairs})`, `ld h,(ix+${field.pairs + 1})`, "exx"]);
  code.label("pair");
  addNext(code);
  code.add(["or a", "jp z,pairs_end", "ld h,a"]);
  for (const register of ["l", "b", "c"]) {
    addNext(code);
    code.add(`ld ${register},a`);
  }
  code.add(
    ["ld (hl),55h", "ld a,0AAh", "ld (bc),a", "ld a,(hl)", "xor 55h", "ld d,a"],
    "does the second change the first?",
  );
  code.add(
    ["ld a,55h", "ld (bc),a", "ld (hl),0AAh", "ld a,(bc)", "xor 55h", "or d"],
    "does the first change the second?",
  );
  code.add("ld b,a");
  for (const register of ["d", "e"]) {
    addNext(code);
    code.add(`ld ${register},a`);
  }
  code.run("classify");
  code.add(["ld a,b", "or a", "jp z,pair"]);
  addLineFailed(code);
  code.add("jp pair");
  code.label("pairs_end");
  code.add(
    ["ld hl,0", "add hl,sp", "ld a,h", "or l", "jp nz,report"],
    "with a bad line every cell would look bad",
  );
}

/** A: the next byte of a table. */
export function addNext(code: CodeZ80): void {
  code.add(["exx", "ld a,(hl)", "inc hl", "exx"]);
}

/** Keeps the line in DE. */
function addLineFailed(code: CodeZ80): void {
  code.add(
    ["ld hl,0", "add hl,sp", "ld a,h", "or d", "ld h,a", "ld a,l", "or e", "ld l,a", "ld sp,hl"],
    "keep the line",
  );
  code.add(["exx", "set 7,d", "exx"]);
}

/** Bytes handled in one round of a pattern loop. */
const unrolled = 4;

/** A pattern for each address line of the range at IX, written and read; goes on to `range_end`. */
export function addAddressPatterns(code: CodeZ80): void {
  code.label("patterns", "every address differs from every other in some line: ones where the line is high");
  code.add(["exx", `ld l,(ix+${field.lines})`, `ld h,(ix+${field.lines + 1})`, "exx"]);
  code.label("pattern");
  for (const register of ["d", "e"]) {
    addNext(code);
    code.add(`ld ${register},a`);
  }
  code.add(["or d", "jp z,range_end", "ld b,0"]);
  addPatternPass(code, "pattern_write", ["ld (hl),c"], ["ld (hl),a"]);
  addPatternPass(
    code,
    "pattern_read",
    ["ld a,(hl)", "xor c", "or b", "ld b,a"],
    ["xor (hl)", "or b", "ld b,a"],
  );
  code.run("classify");
  code.add(["ld a,b", "or a", "jp z,pattern"]);
  addLineFailed(code);
  code.add("jp pattern");
}

/** One pass of a pattern: `whole` where a page holds one value, in C; `each` where it changes, in A. */
function addPatternPass(
  code: CodeZ80,
  name: string,
  whole: readonly string[],
  each: readonly string[],
): void {
  code.add([`ld h,(ix+${field.firstPage})`, "ld l,0"]);
  code.label(`${name}_page`);
  code.add(["ld a,e", "or a", `jp nz,${name}_each`, "ld a,h", "and d", "add a,0FFh", "sbc a,a", "ld c,a"]);
  code.label(`${name}_whole`);
  for (let k = 0; k < unrolled; k += 1) code.add([...whole, "inc l"]);
  code.add([`jp nz,${name}_whole`, `jp ${name}_next`]);
  code.label(`${name}_each`);
  for (let k = 0; k < unrolled; k += 1)
    code.add(["ld a,l", "and e", "add a,0FFh", "sbc a,a", ...each, "inc l"]);
  code.add(`jp nz,${name}_each`);
  code.label(`${name}_next`);
  code.add(["inc h", "ld a,h", `cp (ix+${field.endPage})`, `jp nz,${name}_page`]);
}
