import { lazy, type ReactNode, Suspense, useEffect, useState } from "react";
import { JobPage } from "./job/job-page.jsx";
import { JobsPage } from "./jobs/jobs-page.jsx";
import { NewJobPage } from "./jobs/new-job-page.jsx";
import { api } from "./net/api.js";
import { onStreamEvent } from "./net/live.js";
import { PartPage } from "./part/part-page.jsx";
import { WhyPage } from "./part/why-page.jsx";
import { GamePage } from "./practice/game-page.jsx";
import { PracticePage } from "./practice/practice-page.jsx";
import { PairingPage } from "./settings/pairing-page.jsx";
import { SettingsPage } from "./settings/settings-page.jsx";
import { announcement, notice } from "./state/announcer.js";
import { currentRoute } from "./state/navigation.js";
import { addressOf, type Route } from "./state/route.js";
import { useStore } from "./state/store.js";
import { PageHead } from "./ui/page-head.jsx";
import { Waiting } from "./ui/waiting.jsx";

// Fetched when it is opened: the first page does not need it.
const MemoryPage = lazy(() =>
  import("./memory/memory-page.jsx").then((module) => ({ default: module.MemoryPage })),
);
const BoardsPage = lazy(() =>
  import("./boards/boards-page.jsx").then((module) => ({ default: module.BoardsPage })),
);
const BoardPage = lazy(() =>
  import("./boards/board-page.jsx").then((module) => ({ default: module.BoardPage })),
);
const TypesPage = lazy(() =>
  import("./boards/types-page.jsx").then((module) => ({ default: module.TypesPage })),
);
const TapePage = lazy(() => import("./tape/tape-page.jsx").then((module) => ({ default: module.TapePage })));
const DeckPage = lazy(() => import("./deck/deck-page.jsx").then((module) => ({ default: module.DeckPage })));

/** The whole page: what the address names, what is said, and short notices. */
export function App(): ReactNode {
  const route = useStore(currentRoute);
  const [unpaired, setUnpaired] = useState(false);
  useEffect(() => {
    const ask = (): void => {
      api.status().then(
        ({ access }) => setUnpaired(access === "unpaired"),
        () => undefined,
      );
    };
    ask();
    return onStreamEvent((event) => {
      if (event.type === "devices" || event.type === "hello") ask();
    });
  }, []);
  const address = addressOf(route);
  // biome-ignore lint/correctness/useExhaustiveDependencies: a new page begins at its top and names itself
  useEffect(() => {
    scrollTo(0, 0);
    document.title = titleOf(route);
  }, [address]);
  return (
    <>
      {unpaired ? <PairingPage onPaired={() => setUnpaired(false)} /> : <Page key={address} route={route} />}
      <Said />
      <NoticeBar />
    </>
  );
}

function Page({ route }: { readonly route: Route }): ReactNode {
  switch (route.page) {
    case "jobs":
      return <JobsPage />;
    case "new-job":
      return <NewJobPage />;
    case "job":
      return <JobPage id={route.job} />;
    case "part":
      return <PartPage job={route.job} partRef={route.ref} />;
    case "why":
      return <WhyPage job={route.job} partRef={route.ref} />;
    case "memory":
      return (
        <Suspense fallback={<Waiting what="The memory page is being fetched" />}>
          <MemoryPage job={route.job} />
        </Suspense>
      );
    case "practice":
      return <PracticePage />;
    case "game":
      return <GamePage id={route.game} />;
    case "tape":
      return (
        <Suspense fallback={<Waiting what="The tape page is being fetched" />}>
          <TapePage />
        </Suspense>
      );
    case "deck":
      return (
        <Suspense fallback={<Waiting what="The deck page is being fetched" />}>
          <DeckPage />
        </Suspense>
      );
    case "boards":
    case "board":
    case "types":
      return (
        <Suspense fallback={<Waiting what="The boards page is being fetched" />}>
          {route.page === "boards" && <BoardsPage />}
          {route.page === "board" && <BoardPage id={route.board} />}
          {route.page === "types" && <TypesPage />}
        </Suspense>
      );
    case "settings":
      return <SettingsPage />;
    case "lost":
      return (
        <main className="page">
          <PageHead title="No such page" />
          <h1>There is no such page</h1>
          <p>
            <a href="#/">Go to the jobs</a>
          </p>
        </main>
      );
  }
}

function titleOf(route: Route): string {
  switch (route.page) {
    case "part":
    case "why":
      return `${route.ref} · boardwake`;
    case "practice":
    case "game":
      return "Practice · boardwake";
    case "memory":
      return "Memory · boardwake";
    case "tape":
      return "Tape · boardwake";
    case "deck":
      return "Deck · boardwake";
    case "new-job":
      return "New job · boardwake";
    default:
      return "boardwake";
  }
}

function Said(): ReactNode {
  const { number, text } = useStore(announcement);
  // Two places take turns, so that the same sentence said twice is heard twice.
  return (
    <div className="only-heard" aria-live="polite">
      <p>{number % 2 === 0 ? text : ""}</p>
      <p>{number % 2 === 1 ? text : ""}</p>
    </div>
  );
}

function NoticeBar(): ReactNode {
  const shown = useStore(notice);
  if (shown === null) return null;
  return (
    <section className="notice" aria-label="Notice">
      <p>{shown.text}</p>
      <button type="button" onClick={() => notice.set(null)}>
        Good
      </button>
    </section>
  );
}
