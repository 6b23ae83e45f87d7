import { describe, expect, it } from "vitest";
import { parseKicadNetlist } from "./kicad-netlist.js";

const old = `(export (version D)
  (design (source a.sch) (tool "Eeschema 4.0.6") (sheet (number 1) (title_block (title "Old board"))))
  (components
    (comp (ref U1) (value 74LS00) (footprint DIP:DIP-14)
      (fields (field (name Maker) "X Y"))
      (libsource (lib 74xx) (part 74LS00)))
    (comp (ref R1) (value 4k7) (libsource (lib device) (part R))))
  (libparts
    (libpart (lib 74xx) (part 74LS00) (aliases (alias 74LS37)) (description "Quad gate")
      (pins (pin (num 1) (name A) (type input)) (pin (num 7) (name GND) (type power_in)))))
  (nets
    (net (code 1) (name GND) (node (ref U1) (pin 7)))
    (net (code 2) (name /A0) (node (ref U1) (pin 1)) (node (ref R1) (pin 2)))))
`;

const recent = `(export (version "E")
  (components
    (comp (ref "U1") (value "74HC00")
      (libsource (lib "74xx") (part "74HC00") (description "Gate"))
      (property (name "Sheetname") (value "")) (property (name "dnp")))
    (comp (ref "C1") (value "100n") (description "Capacitor")
      (fields (field (name "Footprint") "C:Disc") (field (name "Datasheet")))
      (units (unit (name "A") (pins (pin (num "1")) (pin (num "2")))))))
  (nets
    (net (code "1") (name "/~{CS}") (class "Default")
      (node (ref "U1") (pin "1") (pinfunction "A") (pintype "input"))
      (node (ref "C1") (pin "1") (pintype "passive")))))
`;

const codes = (text: string): string[] => parseKicadNetlist(text).problems.map((problem) => problem.code);

describe("the KiCad netlist reader", () => {
  it("reads the layout of versions 4 and 5", () => {
    const { value, problems } = parseKicadNetlist(old);
    expect(problems).toEqual([]);
    expect(value).toMatchObject({ title: "Old board", tool: "Eeschema 4.0.6" });
    expect(value?.components.map(({ ref, line }) => [ref, line])).toEqual([
      ["U1", 4],
      ["R1", 7],
    ]);
    const [u1] = value?.components ?? [];
    expect(u1).toMatchObject({
      value: "74LS00",
      libraryName: "74xx",
      libraryPart: "74LS00",
      footprint: "DIP:DIP-14",
      notFitted: false,
    });
    expect([...(u1?.fields ?? [])]).toEqual([["Maker", "X Y"]]);
    expect(value?.nets[1]).toEqual({
      name: "/A0",
      line: 13,
      nodes: [
        { ref: "U1", pin: "1", line: 13 },
        { ref: "R1", pin: "2", line: 13 },
      ],
    });
    expect(value?.libraryParts).toEqual([
      {
        libraryName: "74xx",
        part: "74LS00",
        aliases: ["74LS37"],
        description: "Quad gate",
        pins: [
          { number: "1", name: "A", electricalType: "input" },
          { number: "7", name: "GND", electricalType: "power_in" },
        ],
      },
    ]);
  });

  it("reads the layout of later versions", () => {
    const { value, problems } = parseKicadNetlist(recent);
    expect(problems).toEqual([]);
    expect(value?.components[0]).toMatchObject({ description: "Gate", notFitted: true });
    expect(value?.nets[0]?.nodes[0]).toEqual({
      ref: "U1",
      pin: "1",
      pinFunction: "A",
      pinType: "input",
      line: 11,
    });
    expect(value?.components[1]?.description).toBe("Capacitor");
    expect([...(value?.components[1]?.fields ?? [])]).toEqual([["Footprint", "C:Disc"]]);
    expect(value?.libraryParts).toEqual([]);
  });

  it.each([
    ["nothing at all", ""],
    ["another format", "( { EESchema Netlist Version 1.1 } )"],
    ["a board layout", "(kicad_pcb (version 4))"],
  ])("refuses %s with one sentence", (_, text) => {
    const { value, problems } = parseKicadNetlist(text, { file: "a.net" });
    expect(value).toBeUndefined();
    const last = problems.at(-1);
    expect(last).toMatchObject({
      code: "not-a-netlist",
      severity: "error",
      where: { file: "a.net", line: 1 },
    });
    expect(last?.hint).toContain("export");
  });

  it("reports flaws with their places and keeps the rest", () => {
    const text = `(export (version F)
(components
(comp (ref A1) (value 1))
(comp (ref A1) (value 2))
(comp (value 3))
(comp (ref B1)))
(nets
(net (name N) (node (ref A1) (pin 1)) (node (ref A1) (pin 1)))
(net (name M) (node (ref A1) (pin 1)) (node (ref Z9) (pin 1)) (node (ref B1)))
(net (name N) (node (ref B1) (pin 2)))
(net (name E))))`;
    const { value, problems } = parseKicadNetlist(text, { file: "f.net" });
    expect(problems.map(({ code, where }) => [code, where.line])).toEqual([
      ["unknown-version", 1],
      ["duplicate-ref", 4],
      ["missing-field", 5],
      ["duplicate-node", 8],
      ["pin-on-two-nets", 9],
      ["unknown-ref", 9],
      ["missing-field", 9],
      ["duplicate-net", 10],
      ["empty-net", 11],
    ]);
    expect(problems.find(({ code }) => code === "pin-on-two-nets")?.message).toBe(
      "Pin 'A1.1' is on net 'N' and on net 'M'; the first was kept.",
    );
    expect(value?.components.map(({ ref, value: printed }) => [ref, printed])).toEqual([
      ["A1", "1"],
      ["B1", ""],
    ]);
    expect(
      value?.nets.map(({ name, nodes }) => [name, nodes.map(({ ref, pin }) => `${ref}.${pin}`)]),
    ).toEqual([
      ["N", ["A1.1", "B1.2"]],
      ["M", []],
      ["E", []],
    ]);
  });

  it("reports missing sections, and text that is cut short", () => {
    expect(codes("(export (version E))")).toEqual(["missing-section", "missing-section"]);
    const cut = old.slice(0, old.indexOf("(comp (ref R1)"));
    expect(codes(cut)).toEqual(["unclosed-list", "missing-section"]);
    expect(parseKicadNetlist(cut).value?.components.map(({ ref }) => ref)).toEqual(["U1"]);
  });

  it("does not mistake names of the language for fields", () => {
    const text =
      "(export (version D) (components (comp (ref __proto__) (value constructor))) (nets (net (name toString) (node (ref __proto__) (pin valueOf)))))";
    const { value, problems } = parseKicadNetlist(text);
    expect(problems).toEqual([]);
    expect(value?.nets[0]?.nodes[0]).toMatchObject({ ref: "__proto__", pin: "valueOf" });
  });
});
