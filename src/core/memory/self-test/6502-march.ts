import type { Code6502 } from "./6502-code.js";
import { addToMask } from "./6502-lines.js";
import { addWait, down, type Element, marchC, type Operation, up, waitCycles } from "./6502-page-zero.js";
import type { SelfTestPlan } from "./plan.js";

/**
 * Variables in the last words of page zero. Each is there twice, or has one value it can have, and all are compared after
 * each page: a cell elsewhere whose fault disturbs one of them shows itself so, and names its chip.
 */
const variable = {
  pointer: 0xf8,
  page: 0xf9,
  pageAgain: 0xfa,
  background: 0xfb,
  backgroundAgain: 0xfc,
  limit: 0xfd,
  element: 0xfe,
  elementAgain: 0xff,
} as const;
/** Words of page zero below this are tested like all others. */
const firstVariable = 0xf8;
/** Stands for the end in the tables of pages; no RAM is there, for the vectors are. */
const noPage = 0xff;

/**
 * March SS with one more read at the end of each element, which also finds words that cannot be reached; then a pattern
 * that is different at neighbouring addresses.
 */
const after: readonly Element[] = [
  up("w0"),
  up("r0", "r0", "w0", "r0", "w1", "r1"),
  up("r1", "r1", "w1", "r1", "w0", "r0"),
  down("r0", "r0", "w0", "r0", "w1", "r1"),
  down("r1", "r1", "w1", "r1", "w0", "r0"),
  up("r0"),
  up("write pattern"),
  up("read pattern"),
];
const elements = [...marchC, ...after];

/** All of the memory: variables stand in page zero, checked after each page; the mask of a page is in X, of all in S. */
export function addMarch(code: Code6502, plan: SelfTestPlan): void {
  const pages = pagesOf(plan);
  addMove(code, plan);
  code.label("page_start", "A is the page");
  code.at("STA", variable.page);
  code.at("STA", variable.pageAgain);
  code.plain("TAX");
  code.byte("LDA", 0);
  code.at("STA", variable.pointer);
  code.byte("CPX", 0);
  code.branch("BNE", "limit_set");
  code.byte("LDA", firstVariable);
  code.label("limit_set");
  code.at("STA", variable.limit);
  code.byte("LDX", 0);
  const bodies = new Map<string, { readonly label: string; readonly element: Element }>();
  code.at("LDA", variable.element);
  for (const [number, element] of elements.entries()) {
    const text = `${element.isDown ? "down" : "up"} ${element.operations.join(",")}`;
    const body = bodies.get(text) ?? { label: `body_${bodies.size}`, element };
    bodies.set(text, body);
    const next = code.fresh("not_this");
    code.byte("CMP", number);
    code.branch("BNE", next);
    code.jump(body.label, text);
    code.label(next);
  }
  code.jump("page_end", "a disturbed number is found there");
  for (const { label, element } of bodies.values()) addBody(code, plan, label, element);
  addPageEnd(code);
  code.table(
    "first_page",
    elements.map(({ isDown }) => (isDown ? pages.at(-1) : pages[0]) ?? 0),
  );
  code.table(
    "goes_down",
    elements.map(({ isDown }) => (isDown ? 1 : 0)),
  );
  const last = pages.at(-1) ?? 0;
  const next = (list: readonly number[]): number[] =>
    Array.from({ length: last + 1 }, (_, page) =>
      list.includes(page) ? (list[list.indexOf(page) + 1] ?? noPage) : noPage,
    );
  code.table("page_up", next(pages), "next page of the test");
  code.table("page_down", next([...pages].reverse()));
}

/** Sets the next element or background; pauses before ones and zeros are read for the first time. */
function addMove(code: Code6502, plan: SelfTestPlan): void {
  const { backgrounds } = plan;
  const [first = 0] = backgrounds;
  code.byte("LDA", first, "march through all of the memory");
  code.label("background_set");
  code.at("STA", variable.background);
  code.at("STA", variable.backgroundAgain);
  code.byte("LDA", 0);
  code.label("element_set", "A is the number of the element");
  code.at("STA", variable.element);
  code.at("STA", variable.elementAgain);
  code.plain("TAX");
  code.at("LDA", { label: "first_page" }, "x");
  code.jump("page_start");
  code.label("element_end");
  code.at("LDX", variable.element);
  code.plain("INX", "TXA");
  code.byte("CMP", elements.length);
  code.branch("BNE", "not_last");
  code.jump("report");
  code.label("not_last");
  code.byte("CMP", marchC.length);
  code.branch("BEQ", "background_end");
  code.byte("CMP", 3);
  code.branch("BCS", "element_set");
  code.at("LDA", variable.background);
  code.byte("CMP", first);
  code.branch("BNE", "no_pause");
  addWait(code, waitCycles(plan));
  code.label("no_pause");
  code.at("LDX", variable.element);
  code.plain("INX", "TXA");
  code.jump("element_set");
  code.label("background_end");
  code.at("LDX", variable.background);
  for (const [k, background] of backgrounds.entries()) {
    const next = backgrounds[k + 1];
    if (next === undefined) break;
    const other = code.fresh("not_this");
    code.byte("CPX", background);
    code.branch("BNE", other);
    code.byte("LDA", next);
    code.jump("background_set");
    code.label(other);
  }
  code.byte("LDA", first, "the rest with the first background");
  code.at("STA", variable.background);
  code.at("STA", variable.backgroundAgain);
  code.byte("LDA", marchC.length);
  code.jump("element_set");
}

function addBody(code: Code6502, plan: SelfTestPlan, label: string, { isDown, operations }: Element): void {
  const bitMask = plan.banks[0]?.bitMask ?? 0;
  const [loop, next, bad] = [code.fresh("word"), code.fresh("word_next"), code.fresh("word_bad")];
  const lastWrite = operations.map((operation) => operation.startsWith("w")).lastIndexOf(true);
  const badAfter = code.fresh("word_bad");
  const resume = code.fresh("word_write");
  code.label(label, operations.join(","));
  if (isDown) code.at("LDY", variable.limit);
  else code.byte("LDY", 0);
  code.label(loop);
  if (isDown) code.plain("DEY");
  for (const [k, operation] of operations.entries()) {
    if (k === lastWrite) code.label(resume);
    if (operation.startsWith("w")) {
      addValue(code, operation);
      code.through("STA", variable.pointer);
    } else {
      if (operation === "read pattern") {
        addValue(code, operation);
        code.through("EOR", variable.pointer);
      } else {
        code.through("LDA", variable.pointer);
        code.at("EOR", variable.background);
        if (operation === "r1") code.byte("EOR", 0xff);
      }
      if (bitMask !== 0xff) code.byte("AND", bitMask);
      code.branch("BNE", k < lastWrite ? bad : badAfter);
    }
  }
  code.label(next);
  if (isDown) code.plain("TYA");
  else {
    code.plain("INY");
    code.at("CPY", variable.limit);
  }
  code.branch("BNE", loop);
  code.jump("page_end");
  const isReadBefore = operations.some((operation, k) => operation.startsWith("r") && k < lastWrite);
  const isReadAfter = operations.some((operation, k) => operation.startsWith("r") && k > lastWrite);
  for (const [from, to, isUsed] of [
    [bad, resume, isReadBefore],
    [badAfter, next, isReadAfter],
  ] as const) {
    if (!isUsed) continue;
    code.label(from);
    code.at("ORA", { label: "same" }, "x");
    code.plain("TAX");
    code.jump(to);
  }
}

/** Loads what an operation writes. */
function addValue(code: Code6502, operation: Operation): void {
  if (operation.endsWith("pattern")) {
    code.plain("TYA");
    code.at("EOR", variable.page);
    return;
  }
  code.at("LDA", variable.background);
  if (operation === "w1") code.byte("EOR", 0xff);
}

/** Compares the variables; then adds the page's mask to S and finds the next page. */
function addPageEnd(code: Code6502): void {
  code.label("page_end");
  code.at("LDA", variable.page);
  code.at("EOR", variable.pageAgain);
  code.at("ORA", variable.pointer);
  code.branch("BNE", "disturbed");
  code.at("LDA", variable.background);
  code.at("EOR", variable.backgroundAgain);
  code.branch("BNE", "disturbed");
  code.at("LDA", variable.element);
  code.at("EOR", variable.elementAgain);
  code.branch("BNE", "disturbed");
  code.at("LDA", variable.page);
  code.branch("BEQ", "page_is_zero");
  code.byte("LDA", firstVariable, "so that the limit is compared with 0");
  code.label("page_is_zero");
  code.byte("EOR", firstVariable);
  code.at("EOR", variable.limit);
  code.branch("BEQ", "undisturbed");
  code.label("disturbed", "wrong bits of a variable: the chip is found");
  addToMask(code);
  code.jump("report");
  code.label("undisturbed");
  code.plain("TXA");
  addToMask(code);
  code.at("LDX", variable.page);
  code.at("LDY", variable.element);
  code.at("LDA", { label: "goes_down" }, "y");
  code.branch("BNE", "next_down");
  code.at("LDA", { label: "page_up" }, "x");
  code.jump("next_page");
  code.label("next_down");
  code.at("LDA", { label: "page_down" }, "x");
  code.label("next_page");
  code.byte("CMP", noPage);
  code.branch("BEQ", "all_pages");
  code.jump("page_start");
  code.label("all_pages");
  code.jump("element_end");
}

function pagesOf(plan: SelfTestPlan): number[] {
  return (plan.banks[0]?.ranges ?? []).flatMap(({ from, to }) =>
    Array.from({ length: (to - from + 1) >> 8 }, (_, k) => (from >> 8) + k),
  );
}
