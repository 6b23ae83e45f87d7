import { describe, expect, it } from "vitest";
import { parseKicadPcb } from "./kicad-pcb.js";

// The same board of two parts, as three generations of the format write it.
const version4 = `(kicad_pcb (version 4) (host pcbnew 4.0.6)
  (layers (0 F.Cu signal) (31 B.Cu signal) (44 Edge.Cuts user))
  (net 0 "") (net 1 GND) (net 2 /A0)
  (module DIP:DIP-14 (layer F.Cu) (at 20 30 90)
    (fp_text reference U1 (at 0 0) (layer F.SilkS))
    (fp_text value 74LS00 (at 0 0) (layer F.Fab))
    (pad 1 thru_hole rect (at 0 0 90) (size 1 1) (layers *.Cu) (net 2 /A0))
    (pad 7 thru_hole oval (at 0 15.24 90) (size 1 1) (layers *.Cu) (net 1 GND))
    (pad 2 thru_hole oval (at 0 2.54 90) (size 1 1) (layers *.Cu)))
  (module R:R (layer B.Cu) (at 40 30)
    (fp_text reference R1 (at 0 0) (layer B.SilkS))
    (fp_text value 4k7 (at 0 0) (layer B.Fab))
    (pad 1 smd rect (at -1 0) (layers B.Cu) (net 2 /A0))
    (pad 2 smd rect (at 1 0) (layers B.Cu) (net 1 GND)))
  (module Logo (layer F.Cu) (at 1 1) (fp_text reference G*** (at 0 0) (layer F.SilkS)))
  (gr_line (start 10 20) (end 60 20) (angle 90) (layer Edge.Cuts))
  (gr_line (start 60 20) (end 60 50) (angle 90) (layer Edge.Cuts))
  (segment (start 0 0) (end 1 1) (net 1))
)`;
const version7 = version4
  .replace("(version 4) (host pcbnew 4.0.6)", "(version 20221018) (generator pcbnew)")
  .replaceAll("(module", "(footprint")
  .replace("(net 2 /A0))\n    (pad 7", '(net 2 "/A0") (pinfunction "A") (pintype "input"))\n    (pad 7')
  .replace(
    "(gr_line (start 60 20) (end 60 50) (angle 90) (layer Edge.Cuts))",
    '(gr_rect (start 10 20) (end 60 50) (layer "Edge.Cuts"))',
  );
const version9 = version7
  .replace("20221018", "20241229")
  .replace(
    /\(fp_text (reference|value) (\S+)/g,
    (_, name: string, text: string) =>
      `(property "${name === "reference" ? "Reference" : "Value"}" "${text}"`,
  )
  .replace(/\(net [12] "?(GND|\/A0)"?\)/g, '(net "$1")');

const codes = (text: string): string[] => parseKicadPcb(text).problems.map((problem) => problem.code);

describe("the KiCad layout reader", () => {
  it.each([
    ["4", version4],
    ["7", version7],
    ["9, with nets by name", version9],
  ])("reads parts, nets and places of version %s", (_, text) => {
    const { value, problems } = parseKicadPcb(text, { file: "a.kicad_pcb" });
    expect(problems).toEqual([]);
    expect(value?.components.map(({ ref, value: printed, footprint }) => [ref, printed, footprint])).toEqual([
      ["U1", "74LS00", "DIP:DIP-14"],
      ["R1", "4k7", "R:R"],
    ]);
    expect(
      value?.nets.map(({ name, nodes }) => [name, nodes.map(({ ref, pin }) => `${ref}.${pin}`)]),
    ).toEqual([
      ["/A0", ["U1.1", "R1.1"]],
      ["GND", ["U1.7", "R1.2"]],
    ]);
    expect(value?.layout?.outline).toEqual({
      left: 10,
      top: 20,
      right: 60,
      bottom: 50,
    });
    expect(value?.layout?.places.get("R1")).toEqual({
      side: "back",
      pads: [
        { pin: "1", xMillimetre: 39, yMillimetre: 30 },
        { pin: "2", xMillimetre: 41, yMillimetre: 30 },
      ],
    });
  });

  it("turns pads anticlockwise with their part", () => {
    const { value } = parseKicadPcb(version4);
    expect(value?.layout?.places.get("U1")?.pads).toEqual([
      { pin: "1", xMillimetre: 20, yMillimetre: 30 },
      { pin: "7", xMillimetre: 35.24, yMillimetre: 30 },
      { pin: "2", xMillimetre: 22.54, yMillimetre: 30 },
    ]);
  });

  it("takes pin names and kinds where the layout has them", () => {
    expect(parseKicadPcb(version7).value?.nets[0]?.nodes[0]).toMatchObject({
      pinFunction: "A",
      pinType: "input",
    });
  });

  it.each([
    [
      "an old arc, a quarter turn clockwise from the right",
      "(gr_arc (start 50 50) (end 60 50) (angle 90) (layer Edge.Cuts))",
      [50, 50, 60, 60],
    ],
    [
      "a new arc over the top",
      '(gr_arc (start 40 50) (mid 50 40) (end 60 50) (layer "Edge.Cuts"))',
      [40, 40, 60, 50],
    ],
    [
      "the same arc the other way",
      '(gr_arc (start 60 50) (mid 50 40) (end 40 50) (layer "Edge.Cuts"))',
      [40, 40, 60, 50],
    ],
    ["a circle", '(gr_circle (center 5 5) (end 8 9) (layer "Edge.Cuts"))', [0, 0, 10, 10]],
    ["a polygon", '(gr_poly (pts (xy 1 2) (xy 5 2) (xy 3 9)) (layer "Edge.Cuts"))', [1, 2, 5, 9]],
  ])("finds the edge drawn as %s", (_, drawing, [left, top, right, bottom]) => {
    const { value } = parseKicadPcb(`(kicad_pcb (version 20221018) ${drawing})`);
    expect(value?.layout?.outline).toEqual({ left, top, right, bottom });
  });

  it.each([
    ["no layout", "(export)", ["not-a-layout"]],
    ["an unknown version", version4.replace("(version 4)", "(version 99999999)"), ["unknown-version"]],
    ["a reference given twice", version4.replace("R1", "U1"), ["duplicate-ref"]],
    ["a pin on two nets", version4.replace("(pad 7", "(pad 1"), ["pin-on-two-nets"]],
    ["a broken place", version4.replace("(at 0 15.24 90)", "(at 0 1e9 90)"), ["bad-number"]],
    ["a part without a place", version4.replace("(at 40 30)", ""), ["missing-field"]],
    ["a part without a reference", version4.replace("reference R1", "user R1"), ["missing-field"]],
    ["no edge", version4.replaceAll("Edge.Cuts)", "Cmts.User)"), ["no-outline"]],
    ["a text cut short", version4.slice(0, 700), ["unclosed-list", "no-outline"]],
    [
      "lists nested without end",
      `(kicad_pcb (version 4) ${"(a ".repeat(100)}`,
      ["nested-too-deep", "unclosed-list", "no-outline"],
    ],
  ])("reports %s", (_, text, expected) => {
    expect(codes(text)).toEqual(expected);
  });

  it("passes over unnumbered and doubled footprints that are on no net", () => {
    const hole = (ref: string): string =>
      `(module Hole (layer F.Cu) (at 1 1) (fp_text reference ${ref} (at 0 0)) (pad 1 thru_hole circle (at 0 0)))`;
    const holes = ["REF**", "REF**", "H1", "H1"].map(hole).join("\n");
    const { value, problems } = parseKicadPcb(version4.replace("(gr_line", `${holes}\n(gr_line`));
    expect(problems).toEqual([]);
    expect(value?.components.map(({ ref }) => ref)).toEqual(["U1", "R1", "H1"]);
  });

  it("says line and field", () => {
    const { problems } = parseKicadPcb(version4.replace("(pad 7", "(pad 1"), { file: "b.kicad_pcb" });
    expect(problems[0]?.where).toMatchObject({ file: "b.kicad_pcb", line: 8, field: "U1.1" });
  });
});
