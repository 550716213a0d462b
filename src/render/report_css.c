/* report_css.c - how a report looks. SPDX-License-Identifier: MIT */
#include "render/report_part.h"

/* None of < > & may stand here (page.h). Every colour of text has a contrast of 4.5 : 1 or more
 * against its ground, every stroke that carries meaning 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11),
 * light and dark; tests/browser measures them. */
const char *const jv_report_css[] = {
    ":root{color-scheme:light dark;--paper:#fff;--ink:#16191d;--soft:#4d5661;--rule:#c3c9d1;"
    "--tint:#f1f4f7;--bad:#a81b12;--good:#17613a;--unsure:#7a4b00;--mark:#0b57a4;"
    "--on-bad:#fff}\n",
    "@media (prefers-color-scheme:dark){:root{--paper:#14171b;--ink:#eceff3;--soft:#a9b3bf;"
    "--rule:#46505c;--tint:#20262d;--bad:#ff9a8f;--good:#7fd6a3;--unsure:#f2be62;"
    "--mark:#8cc4ff;--on-bad:#14171b}}\n",
    "@media print{:root{color-scheme:light;--paper:#fff;--ink:#000;--soft:#333;--rule:#888;"
    "--tint:#f3f3f3;--bad:#a81b12;--good:#17613a;--unsure:#7a4b00;--mark:#0b57a4;"
    "--on-bad:#fff}}\n",
    "*{box-sizing:border-box}\n",
    "body{margin:0;background:var(--paper);color:var(--ink);"
    "font:1rem/1.5 system-ui,'DejaVu Sans',Arial,sans-serif}\n",
    "main,footer{max-width:70rem;margin:0 auto;padding:0 1rem}\n",
    "header{border-bottom:3px solid var(--ink);margin-bottom:1rem}\n",
    "h1{font-size:1.6rem;line-height:1.2;margin:.2rem 0 .5rem}\n",
    "h2{font-size:1.2rem;margin:2rem 0 .5rem;border-bottom:1px solid var(--rule)}\n",
    "p{margin:.4rem 0;max-width:46rem}\n",
    ".kind{color:var(--soft);margin-top:1rem}\n",
    ".fault{font-weight:700}\n",
    "nav ul{display:flex;flex-wrap:wrap;gap:.3rem 1.2rem;padding:0;margin:.5rem 0;"
    "list-style:none}\n",
    "a{color:var(--mark);display:inline-block;padding:.25rem 0}\n",
    ":focus-visible{outline:3px solid var(--mark);outline-offset:2px}\n",
    ".cautions{display:grid;gap:.4rem;padding:0;margin:0;list-style:none;"
    "grid-template-columns:repeat(auto-fit,minmax(min(100%,21rem),1fr))}\n",
    ".caution{border:1px solid var(--rule);border-left-width:8px;padding:.35rem "
    ".6rem;max-width:none}\n",
    ".caution p{margin:0}\n",
    ".danger{border-color:var(--bad);border-width:2px;border-left-width:8px}\n",
    ".warning{border-left-color:var(--unsure)}\n",
    ".heed{border-left-color:var(--unsure);border-left-style:double}\n",
    ".word{font-weight:700;letter-spacing:.04em}\n",
    ".danger .word{color:var(--bad)}\n",
    ".verdict{font-size:1.15rem;border-left:8px solid var(--rule);padding:.3rem .7rem;"
    "background:var(--tint);max-width:none}\n",
    ".verdict.bad{border-color:var(--bad)}.verdict.good{border-color:var(--good)}"
    ".verdict.unsure{border-color:var(--unsure)}\n",
    ".bad strong,strong.bad{color:var(--bad)}.good strong,strong.good{color:var(--good)}"
    ".unsure strong,strong.unsure{color:var(--unsure)}\n",
    ".scroll{overflow-x:auto;margin:.6rem 0}\n",
    "table{border-collapse:collapse;font-size:.9em;width:100%}\n",
    "caption{text-align:left;color:var(--soft);padding:.2rem 0}\n",
    "th,td{text-align:left;vertical-align:top;padding:.22rem .6rem .22rem 0;"
    "border-bottom:1px solid var(--rule)}\n",
    "tbody th{font-weight:400}\n",
    "thead th{color:var(--soft);font-weight:600;border-bottom-width:2px}\n",
    ".number{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}\n",
    "tr.sum th,tr.sum td{font-weight:700;background:var(--tint)}\n",
    ".box{display:inline-block;min-width:5.5rem;height:1.5rem;border:1px solid var(--soft)}\n",
    "dl{display:grid;grid-template-columns:max-content 1fr;gap:.3rem 1rem;margin:.5rem 0}"
    "dt{color:var(--soft)}dd{margin:0;max-width:46rem}\n",
    ".lines{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,15rem),1fr));"
    "gap:.5rem 1rem;margin:.5rem 0}\n",
    ".lines p{border-bottom:1px solid var(--soft);min-height:1.9rem;margin:0;"
    "color:var(--soft)}\n",
    "li{max-width:46rem}\n",
    "footer{color:var(--soft);font-size:.9rem;padding:1rem;margin-top:1.5rem}\n",
    /* drawings: units of the drawing, not of the page */
    "svg{display:block;width:100%;height:auto}\n",
    "svg text{font-family:system-ui,'DejaVu Sans',Arial,sans-serif;fill:var(--ink);"
    "stroke:var(--paper);stroke-width:2.4px;paint-order:stroke;stroke-linejoin:round}\n",
    ".name{font-size:9px;font-weight:700}.small{font-size:9px}\n",
    ".volts{font-size:8.5px}svg text.volts{stroke:none}\n",
    ".letter{font-size:11px}.mark{font-size:10px}svg .letter,svg .mark{stroke-width:0}\n",
    ".wire,.ink,.cable,.shape{stroke:var(--ink);stroke-width:1.2;fill:none}\n",
    ".cable{stroke-width:2.6}.heavy{stroke-width:2.6}.dashed{stroke-dasharray:3 2}\n",
    ".shape{fill:var(--paper)}.fill,.dot{fill:var(--ink);stroke:none}\n",
    ".boundary{stroke:var(--ink);stroke-width:1.2;fill:none;stroke-dasharray:9 3 2 3}\n",
    ".pill{fill:var(--tint);stroke:var(--soft);stroke-width:.7}\n",
    ".worst .cable{stroke:var(--bad);stroke-width:5}"
    ".worst .shape,.worst .ink{stroke:var(--bad);stroke-width:2.2}"
    ".worst .fill{fill:var(--bad)}\n",
    ".rank{fill:var(--bad)}svg .rank-text{font-size:8.5px;font-weight:700;fill:var(--on-bad);"
    "stroke:none}\n",
    ".axis{stroke:var(--soft);stroke-width:1;fill:none}"
    ".grid{stroke:var(--rule);stroke-width:.6}\n",
    ".tick{font-size:10px}svg .tick{fill:var(--soft)}\n",
    ".line-actual{stroke:var(--ink);stroke-width:2.2;fill:none}\n",
    ".line-healthy{stroke:var(--good);stroke-width:1.8;fill:none;stroke-dasharray:6 3}\n",
    ".line-limit{stroke:var(--bad);stroke-width:1.6;fill:none;stroke-dasharray:2 3}\n",
    ".line-third{stroke:var(--mark);stroke-width:1.6;fill:none;stroke-dasharray:8 2 2 2}"
    ".line-event{stroke:var(--bad);stroke-width:1;fill:none}"
    ".bar{fill:var(--mark)}.bar-bad{fill:var(--bad)}h3{font-size:1rem;margin:1rem 0 .3rem}\n",
    ".band{fill:var(--tint);stroke:none}.line-opens{stroke:var(--ink);stroke-width:2.4;fill:none}"
    ".line-early{stroke:var(--ink);stroke-width:1.2;fill:none;stroke-dasharray:1.5 2.5}"
    ".line-stands{stroke:var(--bad);stroke-width:1.9;fill:none;stroke-dasharray:9 3}"
    ".line-weak{stroke-dasharray:4 4}"
    ".line-at{stroke:var(--soft);stroke-width:1;fill:none}"
    ".line-run{stroke:var(--good);stroke-width:1.4;fill:none}"
    ".line-hold{stroke:var(--mark);stroke-width:1.4;fill:none;stroke-dasharray:6 2 1 2}"
    ".line-start{stroke:var(--mark);stroke-width:1.4;fill:none;stroke-dasharray:3 3}"
    ".line-short{stroke:var(--bad);stroke-width:4;fill:none}\n",
    ".drop{fill:var(--tint);stroke:none}.drop-worst{fill:var(--bad);stroke:none}\n",
    "@media (max-width:40rem){svg.diagram{width:auto;min-width:var(--legible)}"
    "svg.plot{min-width:50rem}h1{font-size:1.35rem}"
    ".scroll td:last-child:not(.number){min-width:13rem}}\n",
    "svg.slice{display:none}\n",
    "@page{margin:12mm}@page wide{size:landscape;margin:12mm}\n",
    "#review td:last-child{min-width:9rem}\n",
    "@media print{html{font-size:9.5pt}:focus-visible{outline:none}.full "
    "nav{display:none}main,footer{max-width:none;"
    "padding:0}.scroll{overflow:visible}h2{break-after:avoid;margin-top:.8rem}p,li{max-width:none}"
    ".device h3,.device h3~ul,.device h3~p{break-after:avoid}.device ul{break-inside:avoid}"
    "header{margin-bottom:.5rem}.kind{margin:0}"
    "tr,.caution,svg,.verdict,.lines p{break-inside:avoid}caption,h2+p{break-after:avoid}"
    "thead{display:table-header-group}svg.diagram,svg.plot{min-width:0;max-height:225mm}"
    "svg.sliced{display:none}svg.slice{display:block;max-width:100%;max-height:240mm}svg.wide{page:"
    "wide;max-"
    "height:176mm}"
    ".cautions{grid-template-columns:1fr 1fr}.cautions .danger{grid-column:1/-1}}\n",
    "@media print{.owner{font-size:.95rem;line-height:1.3}.owner .caution{padding:.15rem .5rem}"
    ".owner h2{margin:.7rem 0 .3rem}.owner ul,.owner ol{margin:.3rem 0}.owner footer{margin:0;"
    "padding:.4rem 0}}\n",
    "@media print{.sheet{font-size:.84rem;line-height:1.2}"
    ".sheet .cautions{grid-template-columns:1fr 1fr 1fr;gap:.2rem}"
    ".sheet .caution{padding:.1rem .4rem}.sheet .kind{display:none}"
    ".sheet h1{font-size:1.25rem;margin:0}.sheet header{margin:0;display:flex;gap:1rem;"
    "align-items:baseline}.sheet h2{margin:.35rem 0 .1rem;font-size:1rem}.sheet p{margin:.1rem 0}"
    ".sheet #circuit{break-inside:avoid}.sheet dl{gap:.1rem .8rem;margin:.2rem 0}.sheet "
    "svg.diagram{max-height:62mm}.sensors "
    "svg.diagram{max-height:200mm}.sheet "
    ".scroll{margin:0}"
    ".sheet .box{height:1rem}.sheet table{font-size:1em}.sheet th,.sheet td{padding-top:0;"
    "padding-bottom:0}.sheet .lines{gap:.1rem 1rem;margin:.1rem 0;"
    "grid-template-columns:1fr 1fr 1fr}.sheet .lines p{min-height:1.7rem}"
    ".sheet footer{margin:.3rem 0 0;font-size:1em}}\n",
    NULL,
};
