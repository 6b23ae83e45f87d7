import { createRoot } from "react-dom/client";
import { z } from "zod";
import "@fontsource-variable/atkinson-hyperlegible-next/wght.css";
import "@fontsource-variable/atkinson-hyperlegible-mono/wght.css";
import "./styles/tokens.css";
import "./styles/base.css";
import "./styles/head.css";
import "./styles/step.css";
import "./styles/bench.css";
import "./styles/map.css";
import "./styles/forms.css";
import "./styles/pages.css";
import "./styles/boards.css";
import { App } from "./app.jsx";
import { connect } from "./net/live.js";
import { flush } from "./net/outbox.js";
import { followTheme } from "./state/keepsakes.js";

// The page's content policy forbids making code from text, which the schemas would otherwise do to be quicker.
z.config({ jitless: true });
followTheme();
connect();
void flush();

const place = document.getElementById("bench");
if (place === null) throw new Error("the page has no place to put the bench");
createRoot(place).render(<App />);
