import { describe, expect, it } from "vitest";
import { parseEdif } from "./edif.js";

const part = (name: string, ...ports: string[]): string =>
  `(cell ${name} (cellType GENERIC) (view v (viewType NETLIST) (interface ${ports.join(" ")})))`;
const sheet = (name: string, face: string, contents: string): string =>
  `(cell ${name} (cellType generic) (view v (viewType netlist) (interface ${face}) (contents ${contents})))`;
const file = (...cells: string[]): string => `(edif (rename b "My board") (edifVersion 2 0 0) (edifLevel 0)
 (keywordMap (keywordLevel 0))
 (Library L (edifLevel 0) (technology (numberDefinition))
  ${cells.join("\n  ")})
 (design d (cellRef top (libraryRef l))))`;

const gate = part(
  "&74LS00",
  '(port A (direction INPUT) (designator "1"))',
  '(port (rename Q "~{Q}") (direction OUTPUT) (property PIN (string "3")))',
);
const flat = file(
  gate,
  sheet(
    "top",
    "",
    `(instance I1 (viewRef v (cellRef &74LS00 (libraryRef L))) (designator "U1") (property Footprint (string "DIP%45%14")))
     (instance (rename I2 "R7") (viewRef v (cellRef RES (libraryRef L))) (property Value (string "4k7")) (portInstance &1 (designator "9")))
     (NET (rename n1 "/CS") (joined (portRef Q (instanceRef i1)) (portRef &1 (instanceRef I2))))
     (netBundle B (listOfNets (net n2 (joined (portRef a (instanceRef I1)) (portRef (member P 2) (instanceRef I2))))))`,
  ),
);

const codes = (text: string): string[] => parseEdif(text).problems.map((problem) => problem.code);
const nets = (text: string): [string, string[]][] =>
  (parseEdif(text).value?.nets ?? []).map(({ name, nodes }) => [
    name,
    nodes.map(({ ref, pin }) => `${ref}.${pin}`),
  ]);

describe("the EDIF reader", () => {
  it("reads names, pin numbers and values, whatever the case of letters", () => {
    const { value, problems } = parseEdif(flat);
    expect(problems.map(({ code, severity }) => `${severity} ${code}`)).toEqual(["warning unknown-cell"]);
    expect(value?.title).toBe("My board");
    expect(value?.components.map(({ ref, value: printed, footprint }) => [ref, printed, footprint])).toEqual([
      ["U1", "74LS00", "DIP-14"],
      ["R7", "4k7", undefined],
    ]);
    expect(nets(flat)).toEqual([
      ["/CS", ["U1.3", "R7.9"]],
      ["n2", ["U1.1", "R7.p[2]"]],
    ]);
    expect(value?.nets[0]?.nodes[0]).toMatchObject({ pinFunction: "~{Q}", pinType: "output" });
  });

  it("flattens sheets, and joins their nets through ports", () => {
    const inner = sheet(
      "inner",
      "(port IN (direction INPUT)) (port OUT (direction OUTPUT))",
      `(instance U1 (viewRef v (cellRef &74LS00 (libraryRef L))))
       (net x (joined (portRef IN) (portRef A (instanceRef U1))))
       (net y (joined (portRef OUT) (portRef Q (instanceRef U1))))
       (net z (joined (portRef Z (instanceRef U1))))`,
    );
    const top = sheet(
      "top",
      "",
      `(instance s1 (viewRef v (cellRef inner (libraryRef L)))) (instance s2 (viewRef v (cellRef inner (libraryRef L))))
       (net first (joined (portRef IN (instanceRef s1))))
       (net middle (joined (portRef OUT (instanceRef s1)) (portRef IN (instanceRef s2))))
       (net same (joined (portRef OUT (instanceRef s2)) (portRef IN (instanceRef s2))))`,
    );
    expect(nets(file(gate, inner, top))).toEqual([
      ["first", ["s1/U1.1"]],
      ["middle", ["s1/U1.3", "s2/U1.1", "s2/U1.3"]],
      ["s1/z", ["s1/U1.z"]],
      ["s2/z", ["s2/U1.z"]],
    ]);
  });

  it.each([
    ["another format", "(export)", ["not-edif"]],
    ["another version", flat.replace("2 0 0", "3 0 0"), ["unknown-version", "unknown-cell"]],
    [
      "a design that is not there",
      flat.replace("(cellRef top", "(cellRef nowhere"),
      ["no-design", "unknown-cell"],
    ],
    ["no parts at all", file(gate), ["no-design"]],
    [
      "a cell that holds itself",
      file(sheet("top", "", "(instance i (viewRef v (cellRef top (libraryRef L))))")),
      ["cyclic-cells"],
    ],
    [
      "two instances of one name",
      flat.replace('(rename I2 "R7")', "I1"),
      ["duplicate-ref", "unknown-ref", "unknown-ref"],
    ],
    ["two parts of one reference", flat.replace('"R7"', '"U1"'), ["unknown-cell", "duplicate-ref"]],
    ["a pin on two nets", flat.replace("(portRef a ", "(portRef q "), ["unknown-cell", "pin-on-two-nets"]],
    ["a text cut short", flat.slice(0, 900), ["unclosed-list", "no-design", "unknown-cell"]],
  ])("reports %s", (_, text, expected) => {
    expect(codes(text)).toEqual(expected);
  });

  it("stops where sheets that hold sheets would grow without end", () => {
    const cells = Array.from({ length: 15 }, (_, i) =>
      sheet(
        i === 14 ? "top" : `c${i}`,
        "",
        Array.from(
          { length: 8 },
          (_unused, k) =>
            `(instance i${k} (viewRef v (cellRef ${i === 0 ? "&74LS00" : `c${i - 1}`} (libraryRef L))))`,
        ).join(" "),
      ),
    );
    const { value, problems } = parseEdif(file(gate, ...cells));
    expect(problems.map(({ code }) => code)).toEqual(["input-too-large"]);
    expect(value?.components.length).toBeLessThan(20_000);
  });

  it("says line and field", () => {
    const { problems } = parseEdif(flat.replace("(portRef a ", "(portRef q "), { file: "a.edf" });
    expect(problems[1]?.where).toMatchObject({ file: "a.edf", line: 8, field: "U1.3" });
  });
});
