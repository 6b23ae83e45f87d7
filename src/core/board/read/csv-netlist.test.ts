import { describe, expect, it } from "vitest";
import { parseCsvNetlist } from "./csv-netlist.js";

const codes = (text: string): string[] => parseCsvNetlist(text).problems.map((problem) => problem.code);

describe("the reader of tables of pins", () => {
  it.each([
    ["commas", "ref,pin,net,type\nU1,1,A,74LS00\nU1,7,GND,\nR1,2,A,4k7\n"],
    ["semicolons and another order", "type;net;ref;pin\r\n74LS00;A;U1;1\r\n;GND;U1;7\r\n4k7;A;R1;2"],
    [
      "tabs, quotes, remarks and empty rows",
      '# mine\n\nRef\tPin\tNet\tType\n"U1"\t1\tA\t"74LS00"\n#x\nU1\t7\t"GND"\nR1\t2\tA\t4k7\n',
    ],
  ])("takes %s", (_, text) => {
    const { value, problems } = parseCsvNetlist(text);
    expect(problems).toEqual([]);
    expect(value?.components.map(({ ref, value: type }) => [ref, type])).toEqual([
      ["U1", "74LS00"],
      ["R1", "4k7"],
    ]);
    expect(
      value?.nets.map(({ name, nodes }) => [name, nodes.map(({ ref, pin }) => `${ref}.${pin}`)]),
    ).toEqual([
      ["A", ["U1.1", "R1.2"]],
      ["GND", ["U1.7"]],
    ]);
  });

  it("keeps separators, quotes and line ends inside quotes, and counts lines on", () => {
    const { value, problems } = parseCsvNetlist('ref,pin,net\nU1,1,"a,""b""\nc"\nU2,1,x\n,,y\n');
    expect(value?.nets[0]?.name).toBe('a,"b"\nc');
    expect(value?.components[1]?.line).toBe(4);
    expect(problems.map(({ where }) => where)).toEqual([{ line: 5, field: "ref" }]);
  });

  it("leaves a pin open where the net is empty", () => {
    const { value, problems } = parseCsvNetlist("ref,pin,net\nU1,1,\n");
    expect(problems).toEqual([]);
    expect(value).toMatchObject({ components: [{ ref: "U1" }], nets: [] });
  });

  it.each([
    ["no first row", "U1,1,GND\n", ["no-header"]],
    ["an empty text", "", ["no-header"]],
    ["a column nobody asked for", "ref,pin,net,colour\n", ["unknown-column"]],
    ["a missing pin", "ref,pin,net\nU1,,GND\n", ["missing-field"]],
    ["two types of one part", "ref,pin,net,type\nU1,1,A,x\nU1,2,B,y\n", ["type-conflict"]],
    ["a pin on two nets", "ref,pin,net\nU1,1,A\nU1,1,B\n", ["pin-on-two-nets"]],
    ["a quote that is not closed", 'ref,pin,net\nU1,1,"A\nU2,1,B\n', ["unclosed-quote"]],
    ["a cell without end", `ref,pin,net\nU1,1,${"x".repeat(3000)}\n`, ["cell-too-long"]],
    ["very many cells", `ref,pin,net\n${"x,".repeat(3000)}\n`, ["too-many-cells"]],
  ])("reports %s", (_, text, expected) => {
    expect(codes(text)).toEqual(expected);
  });
});
