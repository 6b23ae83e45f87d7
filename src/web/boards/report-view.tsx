import type { ReactNode } from "react";
import type { ImportReport } from "../../app/api/own-boards.js";

const shownWarnings = 12;

/** What an import found: numbers, supplies, what the parts are for, what was taken for granted. */
export function ReportView({ report }: { readonly report: ImportReport }): ReactNode {
  const { roles, rails, warnings, guesses } = report;
  const named: readonly (readonly [string, string])[] = [
    ["Processor", roles.cpu.join(", ")],
    ["RAM", roles.ram.map(ramText).join(", ")],
    ["ROM", roles.rom.join(", ")],
    [
      "Supplies",
      Object.entries(rails)
        .map(([name, net]) => (name === net ? name : `${name} (${net})`))
        .join(", "),
    ],
  ];
  return (
    <div className="report">
      <p>
        {report.parts} parts on {report.nets} lines with {report.pins} pins; {report.recognised} of{" "}
        {report.chips} chips recognised.
      </p>
      <dl className="report-roles">
        {named.map(([name, parts]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{parts === "" ? "none found" : parts}</dd>
          </div>
        ))}
      </dl>
      {warnings.length > 0 && (
        <details>
          <summary>
            {warnings.length} {warnings.length === 1 ? "thing was" : "things were"} odd
          </summary>
          <ul className="report-list">
            {warnings.slice(0, shownWarnings).map((warning) => (
              <li key={warning}>{warning}</li>
            ))}
            {warnings.length > shownWarnings && <li>and {warnings.length - shownWarnings} more</li>}
          </ul>
        </details>
      )}
      {guesses.length > 0 && (
        <details>
          <summary>What was taken for granted, {guesses.length} in all</summary>
          <table className="report-guesses">
            <thead>
              <tr>
                <th scope="col">What</th>
                <th scope="col">Taken for</th>
                <th scope="col">Why</th>
              </tr>
            </thead>
            <tbody>
              {guesses.map(({ subject, taken, reason, certainty }) => (
                <tr key={`${subject} ${taken}`}>
                  <th scope="row" className="place">
                    {subject}
                  </th>
                  <td>{taken}</td>
                  <td>
                    {reason} <span className="quiet">({certainty})</span>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </details>
      )}
    </div>
  );
}

function ramText({ part, bits }: ImportReport["roles"]["ram"][number]): string {
  return bits.length === 0 ? part : `${part} (D${bits.join(", D")})`;
}
