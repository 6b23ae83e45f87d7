import { type ReactNode, useMemo, useState } from "react";
import type { PictureFault } from "../../core/memory/picture/picture-fault.js";
import { useLoaded } from "../net/load.js";
import { jobStore } from "../state/job-state.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { FailingAddresses } from "./failing-addresses.jsx";
import { memoryApi } from "./memory-api.js";
import "./memory.css";
import { ScreenDesk } from "./screen-desk.jsx";
import { SelfTestDesk } from "./self-test-desk.jsx";

/** Memory of a job's board: failing addresses, the chips as cells, and what the screen would show. */
export function MemoryPage({ job }: { readonly job: string }): ReactNode {
  const { detail } = useStore(useMemo(() => jobStore(job), [job]));
  const drawing = detail?.job.drawing ?? "";
  const { value: means, problem, reload } = useLoaded(`${job} ${drawing}`, () => memoryApi.means(job));
  const [fault, setFault] = useState<PictureFault | null>(null);
  const closed = detail?.job.state === "closed";
  const see = (next: PictureFault): void => {
    setFault(next);
    document.getElementById("screen-title")?.focus();
  };
  return (
    <main className="page memory-page">
      <PageHead title="Memory" below={detail?.job.title ?? ""} back={{ page: "job", job }} />
      <h1 className="only-heard">Memory</h1>
      {problem !== null && <ProblemNote problem={problem} onRetry={reload} />}
      {means === null && problem === null && <Waiting what="The board's memory is being looked at" />}
      {means !== null && (
        <>
          {means.memories.length > 0 ? (
            <FailingAddresses job={job} means={means} closed={closed} onSee={see} />
          ) : (
            <section className="stage">
              <h2>Failing addresses</h2>
              {means.problems.map((text) => (
                <p key={text}>{text}</p>
              ))}
            </section>
          )}
          <ScreenDesk job={job} means={means} closed={closed} chosen={fault} />
          <SelfTestDesk job={job} closed={closed} />
        </>
      )}
    </main>
  );
}
