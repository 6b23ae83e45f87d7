/*
 * Why: the tests of the page run in a real Chromium. This finds one or gets one, so that a fresh machine with nothing
 * but its registries can run them. BOARDWAKE_CHROMIUM names one to be used instead.
 */
import { getBrowser } from "./find-browser.js";

const { executablePath } = await getBrowser();
console.log(`browser: ${executablePath}`);
