import preact from "@preact/preset-vite";
import { defineConfig } from "vite";

// The built pages go into the Go server, which embeds them. Charts and the 3D
// view are chunks of their own, loaded when a page first needs them.
export default defineConfig({
  plugins: [preact()],
  base: "/",
  build: {
    outDir: "../server/dist",
    emptyOutDir: true,
    target: "es2022",
    assetsInlineLimit: 0,
    sourcemap: false,
    // Read by the test that holds the size of what is loaded.
    manifest: "chunks.json",
    // The 3D view is one chunk that only the bays load.
    chunkSizeWarningLimit: 700,
  },
  test: { environment: "node", include: ["src/**/*.test.{ts,tsx}", "test/**/*.test.ts"] },
} as Parameters<typeof defineConfig>[0]);
