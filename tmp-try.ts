import { playLyingDay } from "./tests/world/lying-devices.ts";
const [from, to] = process.argv.slice(2).map(Number);
const b=performance.now(); let bad=0; const codes=new Map<string,number>();
for (let s=from!; s<to!; s++){ const d=await playLyingDay(s); for(const [c,n] of d.refusedHonest) codes.set(c,(codes.get(c)??0)+n); if(d.broken.length){bad++; console.log(s,d.liar,d.broken.slice(0,2).map(x=>x.slice(0,500)))} }
console.log({bad, ms:performance.now()-b, codes:[...codes]});
