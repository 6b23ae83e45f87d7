import { type ReactNode, useMemo, useState } from "react";
import type { PartPage as PartData } from "../../app/api/part-page.js";
import { pinoutRows } from "../../core/draw/pinout.js";
import { percentText } from "../../core/draw/suspicion.js";
import { api } from "../net/api.js";
import { useLoaded } from "../net/load.js";
import { boardStore } from "../state/boards.js";
import { jobStore } from "../state/job-state.js";
import { addressOf } from "../state/route.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";

type Pin = PartData["pins"][number];

/** A part looked at closely: its pinout, what each pin should show, and what it would show for the leading suspects. */
export function PartPage({ job, partRef }: { readonly job: string; readonly partRef: string }): ReactNode {
  const { detail } = useStore(useMemo(() => jobStore(job), [job]));
  const { board } = useStore(useMemo(() => boardStore(detail?.job.drawing ?? ""), [detail?.job.drawing]));
  const revision = detail?.revision ?? 0;
  const { value, problem, reload } = useLoaded(`${job} ${partRef} ${revision}`, () =>
    api.partPage(job, partRef),
  );
  const [against, setAgainst] = useState(0);
  const part = board?.parts.find((one) => one.ref === partRef);
  return (
    <main className="page part-page">
      <PageHead title={partRef} below={value?.title ?? ""} back={{ page: "job", job }} />
      {problem !== null && <ProblemNote problem={problem} onRetry={reload} />}
      {value === null && problem === null && <Waiting what="Its pins are being worked out" />}
      {value !== null && (
        <>
          <div className="part-head">
            <div>
              <h1>
                <span className="place">{value.ref}</span> {value.type}
              </h1>
              <p>
                {value.title}
                {value.value !== undefined && `, ${value.value}`} · {value.package} ·{" "}
                {value.socketed ? "in a socket" : "soldered"} · {value.section}
              </p>
            </div>
            <a className="part-chance" href={addressOf({ page: "why", job, ref: partRef })}>
              <strong>{percentText(value.probability)}</strong>
              <span>why</span>
            </a>
          </div>
          {value.suspects.length > 0 && (
            <fieldset className="against">
              <legend>Compare with the machine if this were the fault</legend>
              {value.suspects.map((suspect, i) => (
                <label key={`${suspect.part} ${suspect.says}`} className="against-choice">
                  <input type="radio" name="against" checked={against === i} onChange={() => setAgainst(i)} />
                  <span>
                    <span className="place">{suspect.part}</span> {suspect.says}{" "}
                    <span className="quiet">{percentText(suspect.probability)}</span>
                  </span>
                </label>
              ))}
            </fieldset>
          )}
          {part !== undefined && <Pinout rows={pinoutRows(part)} data={value} against={against} />}
        </>
      )}
    </main>
  );
}

function Pinout({
  rows,
  data,
  against,
}: {
  readonly rows: ReturnType<typeof pinoutRows>;
  readonly data: PartData;
  readonly against: number;
}): ReactNode {
  const pins = new Map(data.pins.map((pin) => [pin.pin, pin]));
  const twoSided = rows.some((row) => row.right !== null);
  return (
    <div className="pinout-frame">
      <table className="pinout" data-sides={twoSided ? 2 : 1}>
        <caption>
          What each pin should show on the healthy machine, and below it what it would show instead. Seen from
          above, pin 1 at the top left.
        </caption>
        <thead className="only-heard">
          <tr>
            <th scope="col">Shows</th>
            <th scope="col">Pin</th>
            {twoSided && <th scope="col">Pin</th>}
            {twoSided && <th scope="col">Shows</th>}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ left, right }) => (
            <tr key={`${left?.pin} ${right?.pin}`}>
              <Shown pin={pins.get(left?.pin ?? "")} against={against} />
              <Leg pin={pins.get(left?.pin ?? "")} side="left" />
              {twoSided && <Leg pin={pins.get(right?.pin ?? "")} side="right" />}
              {twoSided && <Shown pin={pins.get(right?.pin ?? "")} against={against} />}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Leg({ pin, side }: { readonly pin: Pin | undefined; readonly side: "left" | "right" }): ReactNode {
  return (
    <td className={`pinout-leg pinout-${side}`}>
      {pin !== undefined && (
        <>
          <span className="pinout-number">{pin.pin}</span> <span className="pinout-name">{pin.name}</span>
        </>
      )}
    </td>
  );
}

function Shown({ pin, against }: { readonly pin: Pin | undefined; readonly against: number }): ReactNode {
  if (pin === undefined) return <td className="pinout-shown" />;
  const other = pin.ifSuspect[against];
  const { healthy } = pin;
  const rate = healthy.hertz === null ? "" : `, ${rateText(healthy.hertz)}`;
  return (
    <td className="pinout-shown" data-differs={other?.differs === true}>
      <span className="pinout-net">{pin.net ?? "open"}</span>
      <span className="pinout-healthy">
        {healthy.shows}
        {rate}
      </span>
      {other !== undefined && (other.differs || other.wrong) && (
        <span className="pinout-other">
          {other.differs ? `≠ ${other.shows}` : "looks the same, carries wrong data"}
        </span>
      )}
      {pin.readings.length > 0 && (
        <span className="pinout-read">
          read: {pin.readings.length === 1 ? "entry" : "entries"} {pin.readings.join(", ")}
        </span>
      )}
    </td>
  );
}

function rateText(hertz: number): string {
  if (hertz >= 1e6) return `${Number((hertz / 1e6).toPrecision(4))} MHz`;
  return hertz >= 1e3 ? `${Number((hertz / 1e3).toPrecision(4))} kHz` : `${Number(hertz.toPrecision(3))} Hz`;
}
