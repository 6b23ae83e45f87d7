import { describe, expect, it } from "vitest";
import { parseIpcD356 } from "./ipc-d-356.js";

const sample = `C  made for a test
P  JOB Little board
P  UNITS CUST 0
P  NNAME1 A_VERY_LONG_NET_NAME
317GND              U12   -7    D0320PA00X+012500Y-003400X0600Y0000R000S0
317NNAME1           U12   -8    D0320PA00X+012600Y-003400X0600Y0000R000S0
327NNAME1           R1    -1          A02X+010000Y+000100X0600Y0000R000S0
317GND              VIA         D0320PA00X+012500Y-003400X0600Y0000R000S0
367N/C              H1    -1    D0320UA00X+000000Y+000000
317N/C              R1    -2    D0320PA00X+010100Y+000100X0600Y0000R000S0
389BOARD_EDGE         X0Y0 X22500 Y15000 X0
999
`;
const codes = (text: string): string[] => parseIpcD356(text).problems.map((problem) => problem.code);

describe("the IPC-D-356 reader", () => {
  it("reads nets, long names, sides and places", () => {
    const { value, problems } = parseIpcD356(sample);
    expect(problems).toEqual([]);
    expect(value?.title).toBe("Little board");
    expect(value?.components.map(({ ref }) => ref)).toEqual(["U12", "R1", "H1"]);
    expect(
      value?.nets.map(({ name, nodes }) => [name, nodes.map(({ ref, pin }) => `${ref}.${pin}`)]),
    ).toEqual([
      ["GND", ["U12.7"]],
      ["A_VERY_LONG_NET_NAME", ["U12.8", "R1.1"]],
    ]);
    // 12500 tenths of a mil are 1.25 in; up in the file is up on the board.
    expect(value?.layout?.places.get("U12")).toEqual({
      side: "front",
      pads: [
        { pin: "7", xMillimetre: 31.75, yMillimetre: 8.636 },
        { pin: "8", xMillimetre: 32.004, yMillimetre: 8.636 },
      ],
    });
    expect(value?.layout?.places.get("R1")?.side).toBe("back");
    expect(value?.layout?.outline).toEqual({ left: 0, top: -38.1, right: 57.15, bottom: 0 });
  });

  it("counts in micrometres where the file says so", () => {
    const { value } = parseIpcD356(sample.replace("CUST 0", "CUST 1"));
    expect(value?.layout?.places.get("U12")?.pads[0]).toEqual({
      pin: "7",
      xMillimetre: 12.5,
      yMillimetre: 3.4,
    });
  });

  it("takes coordinates padded with blanks, and any line ends", () => {
    const { value, problems } = parseIpcD356(
      "P  UNITS CUST 0\r\n327GND              C1    --          A01X   9700Y  13198X1575Y 630R270\r\n999\r\n",
    );
    expect(problems).toEqual([]);
    expect(value?.layout?.places.get("C1")?.pads).toEqual([
      { pin: "-", xMillimetre: 24.638, yMillimetre: -33.5229 },
    ]);
  });

  it.each([
    ["a text of another kind", "ref,pin,net\n", ["bad-record", "not-ipc-d-356"]],
    ["a file cut short", sample.slice(0, -4), ["no-end-record"]],
    ["a unit nobody knows", sample.replace("CUST 0", "CUBIT"), ["unknown-unit"]],
    ["a coordinate of letters", sample.replace("X+012500Y-003400X", "X+0125OOY-003400X"), ["bad-number"]],
    ["a record without a pin", sample.replace("U12   -7 ", "U12      "), ["bad-record"]],
    ["a pin on two nets", sample.replace("-8 ", "-7 "), ["pin-on-two-nets"]],
    ["a line of no record", sample.replace("999", "ABC\n999"), ["bad-record"]],
  ])("reports %s", (_, text, expected) => {
    expect(codes(text)).toEqual(expected);
  });

  it("says line, column and field", () => {
    const { problems } = parseIpcD356(sample.replace("Y-003400X", "Y-0034X0X"), { file: "a.ipc" });
    expect(problems[0]?.where).toEqual({ file: "a.ipc", line: 5, column: 50, field: "U12.7.y" });
  });
});
