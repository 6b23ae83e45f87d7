import { spawn } from "node:child_process";

/** Shows an address in the browser of whoever sits at this machine; false if there is no way known here. */
export function showAddress(address: string): boolean {
  const [command, ...words] = openerOf(process.platform);
  if (command === undefined) return false;
  try {
    const child = spawn(command, [...words, address], { detached: true, stdio: "ignore" });
    // Whether there is such a program shows later; the address stands on the terminal all the same.
    child.on("error", () => {});
    child.unref();
    return true;
  } catch {
    return false;
  }
}

/** The program that opens addresses, with its words before the address; none if there is none for the platform. */
export function openerOf(platform: NodeJS.Platform): readonly string[] {
  switch (platform) {
    case "darwin":
      return ["open"];
    case "win32":
      return ["rundll32", "url.dll,FileProtocolHandler"];
    case "linux":
    case "freebsd":
    case "openbsd":
      return ["xdg-open"];
    default:
      return [];
  }
}
