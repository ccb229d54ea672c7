import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { fileURLToPath } from "node:url";
import { parse } from "@formatjs/icu-messageformat-parser";
import react from "@vitejs/plugin-react";
import { defineConfig, type Plugin } from "vite";
import { VitePWA } from "vite-plugin-pwa";
import startWords from "./src/words/en/start.json" with { type: "json" };

/**
 * Reads the ICU messages at build time, so that no tablet has to load a parser for them (nor what only warns developers).
 * A message without holes stays a string; the others travel as the tree that src/words/say.ts formats.
 */
const readMessages: Plugin = {
  name: "read-messages",
  apply: "build",
  enforce: "pre",
  config: () => ({
    resolve: {
      alias: [
        {
          find: /^@formatjs\/icu-messageformat-parser$/,
          replacement: "@formatjs/icu-messageformat-parser/no-parser.js",
        },
        // Its package names only the build that carries the developer's warnings.
        {
          find: /^react-router$/,
          replacement: fileURLToPath(import.meta.resolve("react-router")).replace(
            "development",
            "production",
          ),
        },
      ],
    },
  }),
  load(id) {
    if (!/[\\/]src[\\/]words[\\/][a-z-]+[\\/][a-z-]+\.json(\?|$)/.test(id)) return null;
    const messages = JSON.parse(readFileSync(id.replace(/\?.*$/, ""), "utf8")) as Record<
      string,
      string
    >;
    const read = Object.entries(messages).map(([key, message]) => [
      key,
      /[{']/.test(message) ? parse(message, { ignoreTag: true }) : message,
    ]);
    return { code: `export default ${JSON.stringify(Object.fromEntries(read))}`, moduleType: "js" };
  },
};

/** What a page says that never began, and the script that notices: see src/tablet/start/. */
const beginSafely: Plugin = {
  name: "begin-safely",
  transformIndexHtml: {
    order: "post",
    handler(html, { filename, server }) {
      if (!filename.endsWith("index.html")) return html;
      const begin = `<p class="begin">${startWords.late} <a href="/fresh">${startWords.fresh}</a></p>`;
      return {
        html: html.replace('<div id="evenhand"></div>', `<div id="evenhand">${begin}</div>`),
        tags: server
          ? []
          : [{ tag: "script", attrs: { src: "/start.js" }, injectTo: "head-prepend" }],
      };
    },
  },
  generateBundle() {
    // Never kept on the device; so it opens where everything that is kept is broken.
    const source = `<!doctype html><html lang="en"><meta charset="utf-8"><title>Evenhand</title><div id="evenhand"><p class="begin">${startWords.late}</p></div><script src="/start.js?fresh"></script></html>\n`;
    this.emitFile({ type: "asset", fileName: "fresh.html", source });
  },
};

/** What the pages share, one script each: in a dozen small ones, as the bundler would have it, a judge's first script weighs a kilobyte more. */
const shared = {
  libraries: ["react", "react-dom", "scheduler", "zod", "@formatjs", "intl-messageformat"].map(
    (name) => `/node_modules/${name}/`,
  ),
  book: [
    ...["entry", "side-record", "vocabulary", "identity", "counts", "order", "disjoint", "keyed"],
    ...["plain-json", "harmless-text"],
  ]
    .map((name) => `/src/book/${name}.ts`)
    .concat(
      ["identity.ts", "kinds/", "rubric/rubric.ts", "rubric/lookup.ts"].map(
        (name) => `/src/belt-test/${name}`,
      ),
      ["entry", "seal", "side-bodies", "presence"].map(
        (name) => `/src/belt-test/scorebook/${name}.ts`,
      ),
    ),
};

/** A class belongs to its file, and is called by it: `.page` of `own.module.css` is `own-page` on the glass. */
const cssModules = {
  localsConvention: "camelCaseOnly",
  generateScopedName(name: string, file: string) {
    const sheet = basename(file).replace(/\.module\.css.*$/, "");
    return name === "root" ? sheet : `${sheet}-${name}`;
  },
} as const;

export default defineConfig({
  root: "src/tablet",
  css: { modules: cssModules },
  build: {
    outDir: "../../build/tablet",
    // The app, the page that a family's link opens, and the one at which a tablet learns to trust the hub.
    rollupOptions: {
      input: {
        ...Object.fromEntries(
          ["index", "family", "trust"].map((page) => [page, `src/tablet/${page}.html`]),
        ),
        start: "src/tablet/start/start.ts",
      },
      output: {
        entryFileNames: ({ name }) => (name === "start" ? "start.js" : "assets/[name]-[hash].js"),
        codeSplitting: {
          groups: Object.entries(shared).map(([name, paths]) => ({
            name,
            // What a group needs goes with it: what is a library's own goes there first.
            priority: name === "libraries" ? 2 : 1,
            test: (id) => paths.some((path) => id.replaceAll("\\", "/").includes(path)),
          })),
        },
      },
    },
    emptyOutDir: true,
    modulePreload: {
      // Where a browser does not know of preloading, scripts are loaded when they are asked for.
      polyfill: false,
      // What a screen's script needs it asks for itself; else the first script would carry the name of every other one.
      resolveDependencies: (_, files, { hostType }) =>
        hostType === "html" ? files : files.filter((file) => file.endsWith(".css")),
    },
    target: "es2022",
    // Nothing as data: the hub's Content-Security-Policy lets a page load from the hub alone.
    assetsInlineLimit: 0,
  },
  server: {
    port: 5173,
    proxy: {
      "/api": { target: "http://127.0.0.1:8080", ws: true },
      "/health": "http://127.0.0.1:8080",
    },
  },
  plugins: [
    readMessages,
    beginSafely,
    react(),
    VitePWA({
      // A new version is offered between candidates, never forced on a judge who is marking.
      registerType: "prompt",
      injectRegister: false,
      manifest: {
        id: "/",
        name: "Evenhand",
        short_name: "Evenhand",
        description: "Runs a karate school's belt test.",
        display: "standalone",
        orientation: "any",
        background_color: "#FAF8F1",
        theme_color: "#14171C",
        icons: [
          { src: "/sign.svg", sizes: "any", type: "image/svg+xml" },
          { src: "/icon-192.png", sizes: "192x192", type: "image/png" },
          { src: "/icon-512.png", sizes: "512x512", type: "image/png" },
          // Room around it, where a device cuts icons round.
          { src: "/icon-512-round.png", sizes: "512x512", type: "image/png", purpose: "maskable" },
        ],
      },
      workbox: {
        globPatterns: ["**/*.{js,css,html,svg,woff2}"],
        // Japanese names are shown in the system's face until the hub brings ours.
        globIgnores: ["**/zen-kaku*", "{family,trust,fresh}.html", "assets/{family,trust}-*"],
        navigateFallback: "/index.html",
        navigateFallbackDenylist: [/^\/sheet$/, /^\/trust/, /^\/fresh/, /^\/api\//, /^\/health/],
        maximumFileSizeToCacheInBytes: 4 * 1024 * 1024,
      },
    }),
  ],
});
