import { LyingHall } from "./tests/world/lying-hall.ts";
import { playLyingDay } from "./tests/world/lying-devices.ts";
const seed = Number(process.argv[2]); const filt = new RegExp(process.argv[3]!);
const halls: any[] = [];
const orig = LyingHall.open;
(LyingHall as any).open = async (...a: any[]) => { const h = await (orig as any).apply(LyingHall, a); halls.push(h); return h; };
const d = await playLyingDay(seed);
console.log(d.broken);
const show = (e:any)=> `${e.by} ${e.device} n${e.n} L${e.lamport} ${e.kind} ${JSON.stringify(e.body).slice(0,260)} ${e.id}`;
for (const [i,h] of halls.slice(0,2).entries()) { console.log("=== hall", i); for (const [k,e] of h.onDisk.entries()) { const t = show(e); if (filt.test(t)) console.log(k,t);} console.log([...h.openedIn]); }
