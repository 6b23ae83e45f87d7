import type { CheckedRow } from "../test/reference/support/check.js";
import type { ReferenceFolder } from "../test/reference/support/collect-rows.js";

const introduction = `# Values from outside, and ours

Each line compares a value from a publication with what our code computes. A folder's \`source.md\` says which edition,
table or page, and under which licence. How such a check is written: [support/README.md](support/README.md).

A mismatch fails the tests, except that a value tagged *from memory* only warns. *recomputed*: the source gives a
definition but no number, so the value was computed from it a second way. Differences are rounded to a hundredth of
the tolerance.

Written by \`npm run reference-table\`, always as if there were no test data outside the repository, so that the page is
the same everywhere. Lines that need such data stand at the end without a value of ours; their tests run where the data
is (\`BOARDWAKE_TEST_DATA\`), and \`npm run reference-table -- --with-test-data\` prints the whole table with them and
writes nothing.
`;

/** The page test/reference/README.md. `others` are folders with checks but without comparable rows. */
export function renderReferenceTable(folders: readonly ReferenceFolder[], others: readonly string[]): string {
  const all = folders.flatMap((folder) => folder.rows.map((row) => ({ folder, row })));
  const computed = all.filter(({ row }) => row.verdict !== "skipped");
  const waiting = all.filter(({ row }) => row.verdict === "skipped");
  const sections = [introduction, `${renderCount(computed.map(({ row }) => row))}\n`];
  sections.push(
    renderTable(
      ["source", "quantity", "published", "tag", "ours", "difference", "tolerance", "pass"],
      computed.map(({ folder, row }) => [
        linkTo(folder),
        row.quantity,
        renderValue(row.published),
        row.tag,
        renderValue(row.ours),
        row.difference === null ? "" : renderDifference(row.difference, row.tolerance),
        renderValue(row.tolerance),
        { pass: "yes", warn: "warns", fail: "**NO**", skipped: "" }[row.verdict],
      ]),
    ),
  );
  if (waiting.length > 0) {
    sections.push("## Needs test data\n");
    sections.push(
      renderTable(
        ["source", "quantity", "published", "tolerance", "what is needed"],
        waiting.map(({ folder, row }) => [
          linkTo(folder),
          row.quantity,
          renderValue(row.published),
          renderValue(row.tolerance),
          row.skipped ?? "test data",
        ]),
      ),
    );
  }
  if (others.length > 0) {
    sections.push("## Checks that are no single value\n");
    sections.push(`${others.map((name) => `- [${name}](${name}/check.test.ts)`).join("\n")}\n`);
  }
  return sections.join("\n");
}

function renderCount(rows: readonly CheckedRow[]): string {
  const count = (verdict: CheckedRow["verdict"]): number =>
    rows.filter((row) => row.verdict === verdict).length;
  return `${rows.length} values: ${count("pass")} pass, ${count("warn")} warn, ${count("fail")} fail.`;
}

function linkTo(folder: ReferenceFolder): string {
  return `[${folder.title}](${folder.folder}/source.md)`;
}

/** Text as it is; numbers with six significant digits, enough to read and few enough to be the same everywhere. */
function renderValue(value: number | string | null): string {
  if (value === null) return "";
  return typeof value === "string" ? value : String(Number(value.toPrecision(6)));
}

/**
 * The difference in steps of a hundredth of the tolerance. Smaller digits are rounding noise of the floating-point
 * arithmetic and may differ between machines.
 */
function renderDifference(difference: number, tolerance: number): string {
  if (tolerance === 0) return renderValue(difference);
  const steps = Math.round((difference / tolerance) * 100);
  return steps === 0 ? "0" : String(Number(((steps * tolerance) / 100).toPrecision(3)));
}

function renderTable(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]): string =>
    `| ${cells.map((cell) => cell.replaceAll("|", "\\|").replaceAll("\n", " ")).join(" | ")} |\n`;
  return line(head) + line(head.map(() => "---")) + rows.map(line).join("");
}
