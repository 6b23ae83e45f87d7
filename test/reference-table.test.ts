import { describe, expect, it } from "vitest";
import { renderReferenceTable } from "../scripts/render-reference-table.js";
import { checkRow, type ReferenceRow } from "./reference/support/check.js";

const row: ReferenceRow = {
  quantity: "mass",
  published: 1.25,
  ours: 1.2504,
  tolerance: 0.005,
  tag: "published",
};

function lines(...rows: ReferenceRow[]): string[] {
  const folder = { folder: "smith-1981-mass", title: "Smith 1981", rows: rows.map(checkRow) };
  return renderReferenceTable([folder], ["jones-1982-order"]).split("\n");
}

describe("the table of values from outside", () => {
  it("shows source, both values, difference, tolerance and verdict", () => {
    expect(lines(row)).toContain(
      "| [Smith 1981](smith-1981-mass/source.md) | mass | 1.25 | published | 1.2504 | 0.0004 | 0.005 | yes |",
    );
  });

  it("shows a mismatch, and a mismatch of a remembered value, as such", () => {
    const off = lines({ ...row, ours: 1.3 }, { ...row, ours: 1.3, tag: "from memory" });
    expect(off.filter((line) => line.endsWith("| 0.05 | 0.005 | **NO** |"))).toHaveLength(1);
    expect(off.filter((line) => line.endsWith("| 0.05 | 0.005 | warns |"))).toHaveLength(1);
    expect(off).toContain("2 values: 0 pass, 1 warn, 1 fail.");
  });

  it("hides the rounding noise that differs between machines", () => {
    expect(lines({ ...row, ours: 1.25 + 3e-15 })).toEqual(lines({ ...row, ours: 1.25 - 1e-15 }));
  });

  it("keeps a difference without tolerance", () => {
    expect(lines({ ...row, published: 4, ours: 5, tolerance: 0 }).join("\n")).toContain(
      "| 4 | published | 5 | 1 | 0 | **NO** |",
    );
  });

  it("lists what needs test data apart, without a value of ours", () => {
    const page = lines(row, { ...row, quantity: "order", ours: null, skipped: "needs iscas85" });
    const line = "| [Smith 1981](smith-1981-mass/source.md) | order | 1.25 | 0.005 | needs iscas85 |";
    expect(page.indexOf(line)).toBeGreaterThan(page.indexOf("## Needs test data"));
  });

  it("lists folders without rows, and cannot be broken by a bar in a text", () => {
    expect(lines(row)).toContain("- [jones-1982-order](jones-1982-order/check.test.ts)");
    expect(lines({ ...row, quantity: "P(a|b)" }).join("\n")).toContain("P(a\\|b)");
  });
});
