/** A page of the bench. */
export type Route =
  | { readonly page: "jobs" }
  | { readonly page: "new-job" }
  | { readonly page: "job"; readonly job: string }
  | { readonly page: "part"; readonly job: string; readonly ref: string }
  | { readonly page: "why"; readonly job: string; readonly ref: string }
  | { readonly page: "memory"; readonly job: string }
  | { readonly page: "practice" }
  | { readonly page: "game"; readonly game: string }
  | { readonly page: "tape" }
  | { readonly page: "deck" }
  | { readonly page: "boards" }
  | { readonly page: "board"; readonly board: string }
  | { readonly page: "types" }
  | { readonly page: "settings" }
  | { readonly page: "lost" };

/** The page an address fragment names; `lost` for one that names none. */
export function parseRoute(fragment: string): Route {
  const words = fragment
    .replace(/^#?\/?/, "")
    .split("/")
    .filter((word) => word !== "")
    .map(decode);
  const [first, second, third, fourth, ...rest] = words;
  if (rest.length > 0) return { page: "lost" };
  if (first === undefined) return { page: "jobs" };
  if (first === "new" && second === undefined) return { page: "new-job" };
  if (first === "tape" && second === undefined) return { page: "tape" };
  if (first === "deck" && second === undefined) return { page: "deck" };
  if (first === "types" && second === undefined) return { page: "types" };
  if (first === "boards" && third === undefined) {
    return second === undefined ? { page: "boards" } : { page: "board", board: second };
  }
  if (first === "settings" && second === undefined) return { page: "settings" };
  if (first === "practice" && third === undefined) {
    return second === undefined ? { page: "practice" } : { page: "game", game: second };
  }
  if (first === "job" && second !== undefined) {
    if (third === undefined) return { page: "job", job: second };
    if (third === "memory" && fourth === undefined) return { page: "memory", job: second };
    if (third === "part" && fourth !== undefined) return { page: "part", job: second, ref: fourth };
    if (third === "why" && fourth !== undefined) return { page: "why", job: second, ref: fourth };
  }
  return { page: "lost" };
}

/** The address fragment of a page. */
export function addressOf(route: Route): string {
  switch (route.page) {
    case "jobs":
    case "lost":
      return "#/";
    case "new-job":
      return "#/new";
    case "job":
      return `#/job/${encodeURIComponent(route.job)}`;
    case "part":
    case "why":
      return `#/job/${encodeURIComponent(route.job)}/${route.page}/${encodeURIComponent(route.ref)}`;
    case "memory":
      return `#/job/${encodeURIComponent(route.job)}/memory`;
    case "practice":
      return "#/practice";
    case "game":
      return `#/practice/${encodeURIComponent(route.game)}`;
    case "tape":
      return "#/tape";
    case "deck":
      return "#/deck";
    case "boards":
      return "#/boards";
    case "board":
      return `#/boards/${encodeURIComponent(route.board)}`;
    case "types":
      return "#/types";
    case "settings":
      return "#/settings";
  }
}

function decode(word: string): string {
  try {
    return decodeURIComponent(word);
  } catch {
    return word;
  }
}
