import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";
import { VitePWA } from "vite-plugin-pwa";

export default defineConfig({
  root: "src/tablet",
  build: { outDir: "../../build/tablet", emptyOutDir: true, target: "es2022" },
  server: { port: 5173, proxy: { "/api": { target: "http://127.0.0.1:8080", ws: true } } },
  plugins: [
    react(),
    VitePWA({
      // A new version is offered between candidates, never forced on a judge who is marking.
      registerType: "prompt",
      injectRegister: false,
      manifest: {
        name: "Evenhand",
        short_name: "Evenhand",
        description: "Runs a karate school's belt test.",
        display: "standalone",
        orientation: "any",
        background_color: "#FAF8F1",
        theme_color: "#14171C",
        icons: [{ src: "/sign.svg", sizes: "any", type: "image/svg+xml", purpose: "any" }],
      },
      workbox: {
        globPatterns: ["**/*.{js,css,html,svg,woff2}"],
        navigateFallback: "/index.html",
        navigateFallbackDenylist: [/^\/api\//, /^\/health/],
        maximumFileSizeToCacheInBytes: 4 * 1024 * 1024,
      },
    }),
  ],
});
