import { type ReactNode, useMemo } from "react";
import type { WhyPage as WhyData } from "../../app/api/why-page.js";
import { percentText } from "../../core/draw/suspicion.js";
import { api } from "../net/api.js";
import { useLoaded } from "../net/load.js";
import { notify } from "../state/announcer.js";
import { jobStore, record } from "../state/job-state.js";
import { goTo } from "../state/navigation.js";
import { addressOf } from "../state/route.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";

/** Why a part is suspected: what speaks against it and for it, what its chance was before, what would clear it. */
export function WhyPage({ job, partRef }: { readonly job: string; readonly partRef: string }): ReactNode {
  const { detail } = useStore(useMemo(() => jobStore(job), [job]));
  const { value, problem, reload } = useLoaded(`${job} ${partRef} ${detail?.revision ?? 0}`, () =>
    api.whyPage(job, partRef),
  );
  return (
    <main className="page why-page">
      <PageHead title={`Why ${partRef}`} below={value?.title ?? ""} back={{ page: "job", job }} />
      {problem !== null && <ProblemNote problem={problem} onRetry={reload} />}
      {value === null && problem === null && <Waiting what="The reasons are being put together" />}
      {value !== null && (
        <>
          <div className="part-head">
            <div>
              <h1>
                <span className="place">{value.ref}</span> {value.type}
              </h1>
              <p>{value.cleared ? "As good as cleared by what the log holds." : value.title}</p>
            </div>
            <a className="part-chance" href={addressOf({ page: "part", job, ref: partRef })}>
              <strong>{percentText(value.probability)}</strong>
              <span>its pins</span>
            </a>
          </div>
          <div className="why-grid">
            <Evidence evidence={value.evidence} />
            <Modes suspect={value.suspect} />
            <Clears job={job} clears={value.clears} closed={detail?.job.state === "closed"} />
            <Prior prior={value.prior} />
          </div>
        </>
      )}
    </main>
  );
}

function Evidence({ evidence }: { readonly evidence: WhyData["evidence"] }): ReactNode {
  const heaviest = Math.max(1, ...evidence.map(({ bits }) => Math.abs(bits)));
  return (
    <section className="why-evidence" aria-labelledby="why-evidence">
      <h2 id="why-evidence">What the log says</h2>
      {evidence.length === 0 && <p className="quiet">No entry tells anything about it.</p>}
      <ul>
        {evidence.map(({ entry, text, bits, says }) => (
          <li key={entry} className="weight">
            <p>
              <span className="log-number">{entry}</span> {text}
            </p>
            <Balance share={bits / heaviest} />
            <p className="quiet">{says}</p>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** A bar to the right for what speaks against the part, to the left for what speaks for it. */
function Balance({ share }: { readonly share: number }): ReactNode {
  const length = 148 * Math.min(1, Math.abs(share));
  const against = share > 0;
  return (
    <div className="balance">
      <span aria-hidden="true">clears</span>
      <svg viewBox="0 0 300 14" preserveAspectRatio="none" aria-hidden="true">
        <rect className="bar-whole" width={300} height={14} />
        <rect
          className={against ? "balance-against" : "balance-for"}
          x={against ? 150 : 150 - length}
          width={length}
          height={14}
        />
        <rect className="balance-middle" x={149} width={2} height={14} />
      </svg>
      <span aria-hidden="true">accuses</span>
    </div>
  );
}

function Modes({ suspect }: { readonly suspect: WhyData["suspect"] }): ReactNode {
  if (suspect === null) return null;
  return (
    <section aria-labelledby="why-modes">
      <h2 id="why-modes">How it may be bad</h2>
      <ul className="modes">
        {suspect.modes.map((mode) => (
          <li key={`${mode.mode} ${mode.site} ${mode.detail} ${mode.manifestation}`}>
            <strong>{percentText(mode.probability)}</strong>
            <span>
              {mode.meaning}
              <span className="quiet">
                {" "}
                {[
                  mode.site === "part" ? "" : mode.site,
                  mode.detail === "" ? "" : `at ${mode.detail}`,
                  mode.manifestation === "permanent" ? "" : mode.manifestation.replaceAll("-", " "),
                ]
                  .filter((word) => word !== "")
                  .join(", ")}
              </span>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Clears({
  job,
  clears,
  closed,
}: {
  readonly job: string;
  readonly clears: WhyData["clears"];
  readonly closed: boolean;
}): ReactNode {
  const enter = (clear: WhyData["clears"][number]): void => {
    if (clear.entry === null) return;
    record(job, clear.entry, `${clear.at}: ${clear.clearedBy}`);
    notify({ text: `In the log: ${clear.at} ${clear.clearedBy}` });
    goTo({ page: "job", job });
  };
  return (
    <section aria-labelledby="why-clears">
      <h2 id="why-clears">What would clear it</h2>
      {clears.length === 0 && <p className="quiet">No single reading would.</p>}
      <ul className="clears">
        {clears.map((clear) => (
          <li key={`${clear.at} ${clear.clearedBy}`}>
            <p>
              <span className="place">{clear.at}</span> shows {clear.clearedBy}
              <span className="quiet">
                {" "}
                ({percentText(clear.chance)} likely): {clearedText(clear.factor)}. If it is bad:{" "}
                {clear.wouldShow}
              </span>
            </p>
            {clear.entry !== null && !closed && (
              <button type="button" className="plain-button" onClick={() => enter(clear)}>
                It shows that
              </button>
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** How much a reading would clear a part, by the factor on its odds. */
function clearedText(factor: number): string {
  if (factor < 0.005) return "clears it";
  return factor < 0.995 ? `its odds fall to ${percentText(factor)} of what they are` : "hardly clears it";
}

function Prior({ prior }: { readonly prior: WhyData["prior"] }): ReactNode {
  if (prior.length === 0) return null;
  return (
    <section aria-labelledby="why-prior">
      <h2 id="why-prior">Before anything was seen</h2>
      <table className="prior">
        <thead>
          <tr>
            <th scope="col">What</th>
            <th scope="col">Value</th>
            <th scope="col">Source</th>
          </tr>
        </thead>
        <tbody>
          {prior.map((row) => (
            <tr key={row.id}>
              <th scope="row">{row.title}</th>
              <td>
                {row.id === "handbook"
                  ? `${numberText(row.value)} per million hours`
                  : `× ${numberText(row.value)}`}
              </td>
              <td className="quiet">{row.source}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="quiet">
        The product counts only against that of other parts; it is no promise about your machine.
      </p>
    </section>
  );
}

function numberText(value: number): string {
  return String(Number(value.toPrecision(3)));
}
