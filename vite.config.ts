import { fileURLToPath } from "node:url";
import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";

// Builds the page of the bench into dist/web, from where the server serves it. Everything is bundled: the page loads
// nothing from anywhere else.
export default defineConfig({
  root: fileURLToPath(new URL("src/web", import.meta.url)),
  base: "/",
  publicDir: false,
  plugins: [react()],
  build: {
    outDir: fileURLToPath(new URL("dist/web", import.meta.url)),
    emptyOutDir: true,
    target: ["chrome111", "firefox115", "safari16.4"],
    // Data addresses would need a laxer content policy than the server sends.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
});
