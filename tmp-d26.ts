import { LyingHall } from "./tests/world/lying-hall.ts";
import { playLyingDay } from "./tests/world/lying-devices.ts";
const halls: any[] = []; 
const orig = LyingHall.open;
(LyingHall as any).open = async (...a: any[]) => { const h = await (orig as any).apply(LyingHall, a); halls.push(h); return h; };
await playLyingDay(165);
const [a,,b]=halls; console.log([...a.openedIn],[...b.openedIn]);
for (const [k,s] of b.sent) { const w=a.sent.get(k)!; const i=s.findIndex((x:any,j:number)=>x!==w[j]); if(i<0) continue; console.log(k,i+1, w[i].length,s[i].length); const A=JSON.parse(w[i]),B=JSON.parse(s[i]); console.log(A[0].length,B[0].length); A[0].forEach((e:any,j:number)=>{ if(JSON.stringify(e)!==JSON.stringify(B[0][j])) console.log(JSON.stringify(e).slice(0,500),"\n",JSON.stringify(B[0][j])?.slice(0,500))}); break; }
for (const e of a.onDisk) if(/recused|replaced|locked|held|revealed/.test(e.kind)) console.log(e.by,e.device,e.n,e.lamport,e.kind,JSON.stringify(e.body));
