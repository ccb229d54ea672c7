import { LyingHall } from "./tests/world/lying-hall.ts";
import { playLyingDay } from "./tests/world/lying-devices.ts";
const halls: any[] = []; const rounds:any[]=[];
const orig = LyingHall.open;
(LyingHall as any).open = async (...a: any[]) => { const h = await (orig as any).apply(LyingHall, a); halls.push(h); const play=h.play.bind(h); const i=halls.length-1; h.play=async(r:any)=>{const a=await play(r); r.forEach((x:any,k:number)=>x.entries.forEach((e:any)=>{ if(e?.by==="judge-2"&&i<2){ const ref=a[k].refused.find((z:any)=>z.id===e.id); console.log(i,h.answers.length, e.device,e.n,e.lamport,e.kind,JSON.stringify(e.body).slice(0,150), ref?JSON.stringify(ref.fault):"") } })); return a; }; return h; };
await playLyingDay(24);
