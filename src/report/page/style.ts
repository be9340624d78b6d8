/**
 * The page's look. Paper and ink are neutral grey without a tint, and pictures always stand on the same middle-dark
 * grey, light or dark page: what surrounds a picture changes how it is judged.
 */
export const STYLE = `
:root{--paper:#f3f3f3;--ink:#1d1d1d;--soft:#606060;--line:#cfcfcf;--ember:#a8410f;--good:#4b4b4b;--band:#3b3b3b;--band-ink:#dedede;--band-soft:#b4b4b4}
@media (prefers-color-scheme:dark){:root{--paper:#191919;--ink:#e2e2e2;--soft:#9b9b9b;--line:#3d3d3d;--ember:#e88a52;--good:#b9b9b9}}
*{box-sizing:border-box}
html{background:var(--paper);color:var(--ink);font:17px/1.5 "Iowan Old Style","Palatino Linotype",Palatino,"Book Antiqua","Source Serif 4",Georgia,"DejaVu Serif",serif;font-variant-numeric:tabular-nums lining-nums;-webkit-text-size-adjust:100%}
body{margin:0}
.column{max-width:84rem;margin:0 auto;padding:0 clamp(1rem,3vw,2.5rem)}
h1,h2,h3{font-weight:400;line-height:1.2;text-wrap:balance;margin:0}
h1{font-size:2rem;letter-spacing:-.01em}
h2{font-size:1.5rem}
h3{font-size:1.2rem}
p{margin:.5em 0;max-width:68ch}
header{padding-top:2.2rem!important;padding-bottom:1.4rem!important}
.file{font-size:.95rem;color:var(--soft);margin:0;overflow-wrap:anywhere}
.lead{color:var(--soft);margin:.3em 0 0}
.kicker,dt,th,figcaption,.tag,.choice,.path,.crops span,.verdict,caption+thead{font-family:system-ui,"Segoe UI","Helvetica Neue",Arial,"DejaVu Sans",sans-serif}
.hidden{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}
.note{color:var(--soft)}
.band .note{padding-top:.7rem}

.path{list-style:none;display:flex;margin:1.6rem 0 0;padding:0;font-size:.78rem;line-height:1.35}
.path li{flex:1;position:relative;padding-top:1.35rem}
.path li::before{content:"";position:absolute;top:.4rem;left:0;right:0;border-top:1px solid var(--soft)}
.path li:last-child::before{right:calc(100% - .4rem)}
.path i{position:absolute;top:0;left:0;width:.85rem;height:.85rem;border-radius:50%;background:var(--paper);border:1px solid var(--soft)}
.path b{display:block;font-weight:600}
.path span{color:var(--soft)}
.path .fits i{background:var(--soft)}
.path .tell i{background:var(--ember);border-color:var(--ember);box-shadow:0 0 0 3px var(--paper),0 0 0 4px var(--ember)}
.path .tell span{color:var(--ember);font-weight:600}
.path .unknown i{border-style:dashed}

.band{background:var(--band);color:var(--band-ink);padding:1.1rem 0 1.6rem}
.band p{color:var(--band-soft)}
.band .absent{border:1px dashed #777;padding:1rem}
.wipe{max-width:104rem;margin:0 auto;padding:0 clamp(0rem,2vw,2rem)}
.wipe>input{position:absolute;opacity:0}
.choice{display:flex;flex-wrap:wrap;align-items:baseline;gap:.2rem 1.3rem;padding:.1rem .4rem .8rem;font-size:.85rem;color:var(--band-soft)}
.choice .end{margin-left:auto}
.choice label{cursor:pointer;padding:.1rem 0;border-bottom:2px solid transparent}
.choice label:hover{color:#fff}
.stage{--cut:50%;position:relative;overflow:hidden;aspect-ratio:var(--ratio);max-height:92vh;margin:0 auto;max-width:calc(92vh*(var(--ratio)))}
.stage img{position:absolute;inset:0;width:100%;height:100%;display:block}
.over{position:absolute;inset:0;visibility:hidden;clip-path:inset(0 calc(100% - var(--cut)) 0 0)}
.line{position:absolute;top:0;bottom:0;left:var(--cut);width:2px;margin-left:-1px;background:#fff;box-shadow:0 0 0 1px rgba(0,0,0,.45);pointer-events:none}
.line::after{content:"";position:absolute;bottom:1.1rem;left:50%;width:1.5rem;height:1.5rem;margin-left:-.75rem;border-radius:50%;background:#fff;box-shadow:0 0 0 1px rgba(0,0,0,.45)}
.handle{position:absolute;inset:0;width:100%;height:100%;margin:0;opacity:0;cursor:ew-resize;touch-action:pan-y}
.stage:has(.handle:focus-visible){outline:3px solid #fff;outline-offset:2px}
.tag{position:absolute;top:.8rem;font-size:.8rem;padding:.15rem .55rem;background:rgba(25,25,25,.72);color:#f2f2f2;pointer-events:none}
.tag.left{left:.8rem;visibility:hidden}
.tag.right{right:.8rem}
${['plain', 'plate', 'truth']
  .map(
    (r) =>
      `#against-${r}:checked~.stage .${r}{visibility:visible}#against-${r}:checked~.choice [for=against-${r}]{color:#fff;border-color:#fff}#against-${r}:focus-visible~.choice [for=against-${r}]{outline:2px solid #fff;outline-offset:3px}`,
  )
  .join('\n')}

.worst{padding-top:2.4rem;padding-bottom:1rem}
.worst h2{font-size:clamp(1.7rem,3.2vw,2.5rem);letter-spacing:-.01em;max-width:34ch}
.kicker{font-size:.8rem;color:var(--ember);margin:0 0 .35rem}
.others{padding-top:1.6rem}
.others>h2{border-top:1px solid var(--line);padding-top:1.4rem}
article{padding:1.4rem 0 .6rem}
article+article{border-top:1px solid var(--line)}
article .kicker{color:var(--soft)}
.shown{container-type:inline-size;margin:1.1rem 0;min-width:0}
.crops{background:var(--band);color:var(--band-soft);padding:1rem;width:fit-content;max-width:100%}
.crops>div{display:flex;gap:.6rem}
.crops>div>div{width:calc(var(--w)*4);min-width:0}
.crops img{display:block;width:100%;image-rendering:pixelated}
@supports (width:round(down,1px,1px)){.crops>div>div{width:clamp(var(--w)*2,round(down,(100cqw - 2rem - .6rem*(var(--n) - 1))/var(--n),var(--w)),var(--w)*4)}}
.crops span{display:block;font-size:.8rem;padding-top:.25rem;color:var(--band-ink)}
.crops figcaption{font-size:.8rem;padding-top:.5rem}
img{max-width:100%;height:auto}
.told{display:grid;grid-template-columns:1fr auto;column-gap:2rem}
.told>*{grid-column:1}
.told p{margin:.25rem 0;max-width:72ch}
.told p b{font-weight:600;margin-right:.35em}
dl{margin:0;display:flex;flex-wrap:wrap;gap:.7rem 2.4rem}
dt{font-size:.76rem;color:var(--soft)}
dd{margin:0}
.told dl{padding-bottom:.7rem}
.told details{font-size:.94rem;color:var(--soft);margin-top:.35rem}
.number dd{font-size:1.2rem;line-height:1.3}
.told .where{grid-column:2;grid-row:1/span 4;width:10rem;align-self:start;overflow:visible}
.where .frame{fill:none;stroke:var(--soft);stroke-width:1;vector-effect:non-scaling-stroke}
.where .spot{fill:var(--ember);fill-opacity:.35;stroke:var(--ember);stroke-width:1.5;vector-effect:non-scaling-stroke}
summary{cursor:pointer}
.others>details>summary{padding:1rem 0;border-top:1px solid var(--line);font-size:1.1rem}
.quiet{padding-top:1.8rem}
.quiet h2{font-size:1.2rem}
.quiet ul,.facts ul{padding-left:1.1rem;margin:.5rem 0;max-width:80ch}
.quiet li{color:var(--soft)}
.quiet li b{font-weight:600;color:var(--ink)}
.quiet li span{font-size:.85em}
.quiet li span::before{content:"("}.quiet li span::after{content:")"}

main>.band:not(:first-child){margin-top:2.6rem;padding:2rem 0}
.band h2:not(:first-child){margin-top:2rem}
figure{margin:0}
.beside{margin:1rem 0}
.beside>div{display:grid;grid-template-columns:1fr 1fr;gap:.6rem}
.beside img,.pairs img{width:100%;display:block}
.band figcaption{font-size:.82rem;padding-bottom:.3rem}
.pairs{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,24rem),1fr));gap:1rem .6rem;margin-top:1rem}

.ledger{padding-top:2.6rem}
.scroll{overflow-x:auto;margin-top:1.6rem}
table{border-collapse:collapse;table-layout:fixed;width:100%;min-width:66rem;font-size:.94rem}
thead th:nth-child(1){width:7rem}thead th:nth-child(2){width:20%}thead th:nth-child(3){width:6.5rem}thead th:nth-child(7){width:15%}thead th:nth-child(8){width:6rem}
caption{text-align:left;font-size:1.2rem;padding-bottom:.5rem}
th{font-weight:400;text-align:left;font-size:.8rem;color:var(--soft);vertical-align:top;padding:.4rem 1rem .4rem 0;white-space:nowrap}
td{vertical-align:top;padding:.35rem 1rem .35rem 0;border-top:1px solid var(--line)}
tbody th{position:relative;color:var(--ink);font-weight:600;padding-left:1.5rem;width:7rem}
tbody th::before{content:"";position:absolute;left:.35rem;top:0;bottom:0;border-left:1px solid var(--soft)}
tbody th i{position:absolute;left:0;top:.65rem;width:.75rem;height:.75rem;border-radius:50%;background:var(--paper);border:1px solid var(--soft)}
tbody tr:first-child td,thead th{border-top:0}
tbody+tbody tr:first-child td{border-top:1px solid var(--line)}
.unit{white-space:nowrap}
.unit{font-size:.85em;color:var(--soft)}
td details{max-width:34rem}
td summary{list-style:none;text-decoration:underline dotted var(--soft) 1px;text-underline-offset:.25em}
td summary::-webkit-details-marker{display:none}
td details p{font-size:.9em;color:var(--soft);margin:.3rem 0 .4rem}
.swatch{display:inline-block;width:1.05em;height:1.05em;vertical-align:-.15em;margin-right:.5em;box-shadow:0 0 0 3px var(--band)}
.verdict{font-size:.85rem;white-space:nowrap;color:var(--soft)}
.verdict.tell{color:var(--ember);font-weight:600}
.verdict.fits{color:var(--good)}

.facts{padding-top:2.6rem;padding-bottom:4rem}
.facts h3{margin-top:1.4rem}
.facts h3::first-letter{text-transform:uppercase}
.facts h3 span{color:var(--soft);font-size:.85em;overflow-wrap:anywhere}
.facts dl{display:grid;grid-template-columns:max-content 1fr;gap:.15rem 1.4rem;margin-top:.4rem;font-size:.94rem}
.facts dl div{display:contents}
.facts dt{font-size:.82rem;padding-top:.1em}

@media (min-width:74rem){article{display:grid;grid-template-columns:minmax(0,1fr) 22rem;column-gap:2rem}article>.kicker,article>h3,article>.note{grid-column:1/-1}article .told{grid-template-columns:1fr;align-content:start;padding-top:1.1rem}article .told .where{grid-column:1;grid-row:auto;width:8rem;margin-top:.8rem}article dl{gap:.5rem 1.6rem}}
@media (max-width:44rem){.path{flex-wrap:wrap;row-gap:.8rem}.path li{flex:0 0 25%}.told{grid-template-columns:1fr}.told .where{grid-column:1;grid-row:auto;margin-top:.6rem}.beside>div{grid-template-columns:1fr}.crops>div{flex-direction:column}.crops>div>div{width:min(100%,var(--w)*4)}}
@media print{html{font-size:10pt;background:#fff;color:#000}.choice label,.handle{display:none}.band,.crops,.stage{-webkit-print-color-adjust:exact;print-color-adjust:exact}figure,tr,li,dl{break-inside:avoid}.crops{width:auto;padding:.5rem}.worst{padding-top:1rem}.stage{max-height:none;max-width:none}.scroll{overflow:visible}h2,h3,.kicker,caption,thead{break-after:avoid;break-inside:avoid}}
`
