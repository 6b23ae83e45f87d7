import { describe, expect, it } from "vitest";
import { parseKicadNetlist } from "./kicad-netlist.js";
import { parseKicadXmlNetlist } from "./kicad-xml-netlist.js";
import { readXml } from "./xml.js";

const xml = `<?xml version="1.0" encoding="utf-8"?>
<export version="E">
  <design><source>a.sch</source><tool>Eeschema 7</tool>
    <sheet number="1"><title_block><title>A &amp; B</title></title_block></sheet></design>
  <components>
    <comp ref="U1"><value>74LS00</value><footprint>DIP:DIP-14</footprint>
      <fields><field name="Maker">X &lt;Y&gt;</field></fields>
      <libsource lib="74xx" part="74LS00" description="Gate"/>
      <property name="dnp"/></comp>
    <!-- a remark <comp ref="no"> -->
    <comp ref="R1"><value><![CDATA[4k7 <5%>]]></value></comp>
  </components>
  <libparts><libpart lib="74xx" part="74LS00"><aliases><alias>74LS37</alias></aliases>
    <pins><pin num="1" name="A" type="input"/></pins></libpart></libparts>
  <nets>
    <net code="1" name="GND"><node ref="U1" pin="7" pintype="power_in"/><node ref="R1" pin="2"/></net>
  </nets>
</export>
`;
const lists = `(export (version "E") (design (source a.sch) (tool "Eeschema 7") (sheet (title_block (title "A & B"))))
  (components (comp (ref U1) (value 74LS00) (footprint DIP:DIP-14) (fields (field (name Maker) "X <Y>"))
      (libsource (lib 74xx) (part 74LS00) (description Gate)) (property (name dnp)))
    (comp (ref R1) (value "4k7 <5%>")))
  (libparts (libpart (lib 74xx) (part 74LS00) (aliases (alias 74LS37)) (pins (pin (num 1) (name A) (type input)))))
  (nets (net (code 1) (name GND) (node (ref U1) (pin 7) (pintype power_in)) (node (ref R1) (pin 2)))))`;

const codes = (text: string): string[] => parseKicadXmlNetlist(text).problems.map((problem) => problem.code);
const withoutLines = (value: unknown): unknown =>
  JSON.parse(
    JSON.stringify(value, (key, inner: unknown) =>
      key === "line" ? undefined : inner instanceof Map ? [...inner] : inner,
    ),
  );

describe("the XML netlist reader", () => {
  it("reads what the s-expression form of the same netlist says", () => {
    const read = parseKicadXmlNetlist(xml);
    expect(read.problems).toEqual([]);
    expect(withoutLines(read.value)).toEqual(withoutLines(parseKicadNetlist(lists).value));
    expect(read.value?.components.map(({ ref, line }) => [ref, line])).toEqual([
      ["U1", 6],
      ["R1", 11],
    ]);
  });

  it.each([
    ["no netlist", "<html/>", ["not-a-netlist"]],
    [
      "a document type",
      `<!DOCTYPE export [<!ENTITY a "&b;"><!ENTITY b "&a;">]>${xml.slice(38)}`,
      ["document-type", "document-type"],
    ],
    ["an entity nobody knows", xml.replace("&amp;", "&a;"), ["unknown-entity"]],
    ["a bare ampersand", xml.replace("&amp;", "&"), ["unknown-entity"]],
    ["a closing tag too many", `${xml}</net>`, ["unexpected-close"]],
    [
      "an element that is not closed",
      xml.replace("</components>", "").replace("<libparts>", ""),
      ["unexpected-close", "unclosed-element", "missing-section"],
    ],
    [
      "a reference given twice",
      xml.replace('<comp ref="R1">', '<comp ref="U1">'),
      ["duplicate-ref", "unknown-ref"],
    ],
    [
      "a pin on two nets",
      xml.replace("</nets>", '<net name="B"><node ref="U1" pin="7"/></net></nets>'),
      ["pin-on-two-nets"],
    ],
    ["a value without quotes", xml.replace('pin="2"', "pin=2"), ["malformed-tag", "missing-field"]],
  ])("reports %s", (_, text, expected) => {
    expect(codes(text)).toEqual(expected);
  });

  it("says line and field", () => {
    const { problems } = parseKicadXmlNetlist(xml.replace('ref="R1" pin="2"', 'ref="R1"'), { file: "a.xml" });
    expect(problems[0]?.where).toMatchObject({ file: "a.xml", line: 16, field: "node.pin" });
  });

  it("skips what is nested too deep, and finds its way back", () => {
    const { value, problems } = readXml(`<a><b>${"<c>".repeat(50)}${"</c>".repeat(50)}</b><d>x</d></a>`, {
      maximumDepth: 5,
    });
    expect(problems.map(({ code }) => code)).toEqual(["nested-too-deep"]);
    expect(JSON.stringify(value)).toContain('"text":"x"');
  });
});
