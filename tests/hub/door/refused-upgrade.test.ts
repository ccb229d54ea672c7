import { expect, it } from "vitest";
import { AHub } from "../../builders/a-hub.ts";
import { ATablet } from "../../builders/a-tablet.ts";

it("[H13] hangs up on a line it refuses, so that refused lines do not pile up", async () => {
  const hub = await AHub.start();
  const stranger = await ATablet.dial(hub.address, { origin: "http://evil.example" });
  await stranger.until(() => stranger.isClosed, "a refusal");
  const begun = performance.now();
  await hub.end();
  // A socket that nobody reads would hold the hub up until the end of time.
  expect(performance.now() - begun).toBeLessThan(5000);
});
