import { BoardwakeError } from "../../core/base/errors.js";

/** What of a request decides whether it may come in. */
export interface Knock {
  readonly method: string;
  readonly host: string | undefined;
  readonly origin: string | undefined;
  /** `Sec-Fetch-Site`, as browsers send it. */
  readonly fetchSite: string | undefined;
}

const loopbackNames: readonly string[] = ["localhost", "127.0.0.1", "[::1]"];

/**
 * Lets in only requests that were meant for this bench: the `Host` must be a name it goes by, so that a foreign name
 * that was pointed at this machine gets nowhere, and a page of another origin may neither read nor write.
 */
export class Doors {
  private readonly names: ReadonlySet<string>;
  private port: number;

  /** `names` are further names, as addresses on the local network, besides those of the loopback. */
  constructor(names: readonly string[], port: number) {
    this.names = new Set([...loopbackNames, ...names.map((name) => name.toLowerCase())]);
    this.port = port;
  }

  /** Says which port was taken, where the system chose it. */
  setPort(port: number): void {
    this.port = port;
  }

  /** Throws `host-refused` and `origin-refused`. */
  check({ method, host, origin, fetchSite }: Knock): void {
    if (host === undefined || !this.knows(host))
      throw new BoardwakeError("host-refused", { host: printable(host ?? "") });
    if (origin !== undefined && origin.toLowerCase() !== `http://${host.toLowerCase()}`)
      throw new BoardwakeError("origin-refused", { origin: printable(origin) });
    const isRead = method === "GET" || method === "HEAD";
    // A link from elsewhere may open the page; nothing from elsewhere may change anything.
    if (!isRead && fetchSite !== undefined && fetchSite !== "same-origin" && fetchSite !== "none")
      throw new BoardwakeError("origin-refused", { origin: `a ${printable(fetchSite)} page` });
  }

  private knows(host: string): boolean {
    const found = /^(\[[0-9a-f:.]+\]|[^:]+)(?::(\d+))?$/i.exec(host);
    if (found === null) return false;
    const [, name = "", port = "80"] = found;
    return this.names.has(name.toLowerCase()) && Number(port) === this.port;
  }
}

/** True for an address of this machine itself. */
export function isLoopback(address: string | undefined): boolean {
  return address !== undefined && /^(?:::ffff:)?127\.\d+\.\d+\.\d+$|^::1$/.test(address);
}

function printable(text: string): string {
  return text.replace(/[^\x20-\x7e]/g, "?").slice(0, 100);
}
