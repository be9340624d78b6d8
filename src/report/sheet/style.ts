/** What the sheet adds to the report's look. Pictures stand on the same middle-dark grey. */
import { STYLE } from '../page/style.js'

export const SHEET_STYLE = `${STYLE}
.asked{max-width:84rem;margin:0 auto;padding:0 clamp(1rem,3vw,2.5rem);display:grid;grid-template-columns:minmax(0,26rem) 1fr;gap:1.6rem}
.asked figure{position:relative}
.asked img{display:block;width:100%}
.asked svg{position:absolute;inset:0;width:100%;height:auto}
.asked svg rect,.asked svg path{fill:none;stroke:#fff;stroke-width:2;vector-effect:non-scaling-stroke;filter:drop-shadow(0 0 1px #000)}
.asked figcaption{color:var(--band-soft);font-size:.82rem;padding-top:.35rem}
.asked dl{display:grid;grid-template-columns:max-content 1fr;gap:.15rem 1.2rem;align-content:start;font-size:.95rem}
.asked dl div{display:contents}
.asked dt{color:var(--band-soft);font-size:.82rem;padding-top:.15em}
.asked .open{border-top:1px solid #666;margin-top:.8rem;padding-top:.6rem;font-size:.92rem}
.option{white-space:nowrap}
.suited{padding-top:1.4rem}
.suited>input{position:absolute;opacity:0}
.sift{display:flex;flex-wrap:wrap;gap:.2rem 1.4rem;font:.85rem system-ui,"Segoe UI","Helvetica Neue",Arial,"DejaVu Sans",sans-serif;color:var(--soft);padding-bottom:.4rem}
.sift label{cursor:pointer;border-bottom:2px solid transparent}
#all:checked~.sift [for=all],#unspoilt:checked~.sift [for=unspoilt],#spotless:checked~.sift [for=spotless]{color:var(--ink);border-color:var(--ink)}
#all:focus-visible~.sift [for=all],#unspoilt:focus-visible~.sift [for=unspoilt],#spotless:focus-visible~.sift [for=spotless]{outline:2px solid var(--ink);outline-offset:3px}
#unspoilt:checked~ol>.unfit,#spotless:checked~ol>.unfit,#spotless:checked~ol>.poor{display:none}
.suited>ol{list-style:none;margin:0;padding:0}
.suited>ol>li{display:grid;grid-template-columns:auto minmax(0,1fr);gap:0 1.6rem;padding:1.4rem 0;border-top:1px solid var(--line);content-visibility:auto;contain-intrinsic-size:auto 14rem}
.suited>.placed>li{grid-template-columns:34.1rem minmax(0,1fr)}
.views{display:flex;gap:.6rem;background:var(--band);padding:.7rem;align-self:start;width:fit-content}
.views figure{width:16rem;display:flex;flex-direction:column;justify-content:flex-end}
.views img{display:block;max-width:100%;max-height:9rem;width:auto;height:auto;margin:auto}
.views figcaption{color:var(--band-soft);font-size:.76rem;padding-top:.3rem}
.suited h2{font-size:1.2rem;overflow-wrap:anywhere;display:flex;gap:.7rem;align-items:baseline}
.suited h2 .rank{color:var(--soft);min-width:1.6em}
.suited h2 .score{margin-left:auto;white-space:nowrap;font-size:1.5rem}
.suited h2 .score small{font:.76rem system-ui,"Segoe UI","Helvetica Neue",Arial,"DejaVu Sans",sans-serif;color:var(--soft);margin-left:.4em}
.suited .note{font-size:.9rem;margin:.15rem 0 .5rem}
.suited .fault{margin:.3rem 0}
.suited .fault b{font-weight:600}
.suited .unfit .fault b.unfit{color:var(--ember)}
.dots{list-style:none;display:flex;flex-wrap:wrap;gap:.15rem 1.1rem;margin:.6rem 0 0;padding:0;font:.78rem/1.5 system-ui,"Segoe UI","Helvetica Neue",Arial,"DejaVu Sans",sans-serif;color:var(--soft)}
.dots i,td i.mark{display:inline-block;width:.68rem;height:.68rem;border-radius:50%;margin-right:.4em;vertical-align:-.05em;border:1px solid var(--soft);background:var(--paper)}
.fine>i,i.mark.fine{background:var(--soft)!important}
.dots .cannot-tell i,i.mark.cannot-tell{border-style:dashed!important}
.dots .poor i,i.mark.poor{border:2px solid var(--ember)!important}
.dots .unfit i,i.mark.unfit{background:var(--ember)!important;border-color:var(--ember)!important}
.dots .poor,.dots .unfit{color:var(--ember)}
.suited details{grid-column:1/-1;margin-top:.7rem;font-size:.94rem}
.suited details>summary{color:var(--soft);font-size:.9rem}
.suited table{min-width:0;table-layout:auto;margin-top:.4rem;font-size:.92rem}
.suited td{padding:.3rem 1rem .3rem 0}
.suited td:nth-child(-n+3){white-space:nowrap}
.suited td .do{display:block;color:var(--soft)}
.unread li{margin-bottom:.3rem}
@media (max-width:70rem){.suited>ol>li,.suited>.placed>li{grid-template-columns:1fr;row-gap:.8rem}.asked{grid-template-columns:1fr}.suited td:nth-child(-n+3){white-space:normal}}
@media print{.sift{display:none}.suited>ol>li{break-inside:avoid;content-visibility:visible}.views{-webkit-print-color-adjust:exact;print-color-adjust:exact}}
`
