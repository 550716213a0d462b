/* card_css.c - style and script of the page of a card. SPDX-License-Identifier: MIT */
#include "render/card_part.h"

#include <stddef.h>

/* Colours as those of a report (report_css.c): texts 4.5 : 1 or more, edges 3 : 1 (WCAG 2.2).
 * What is tapped is 48 px high or more. */
const char *const jv_card_css[] = {
    ":root{color-scheme:light dark;--paper:#fff;--ink:#16191d;--soft:#4d5661;--rule:#767f8a;"
    "--tint:#f1f4f7;--bad:#a81b12;--good:#17613a;--mark:#0b57a4}\n",
    "@media (prefers-color-scheme:dark){:root{--paper:#14171b;--ink:#eceff3;--soft:#a9b3bf;"
    "--rule:#8791a0;--tint:#20262d;--bad:#ff9a8f;--good:#7fd6a3;--mark:#8cc4ff}}\n",
    "*{box-sizing:border-box}\n",
    "body{margin:0;background:var(--paper);color:var(--ink);"
    "font:1.0625rem/1.45 system-ui,'DejaVu Sans',Arial,sans-serif}\n",
    "main,footer{max-width:40rem;margin:0 auto;padding:0 1rem}\n",
    "header{border-bottom:3px solid var(--ink)}h1{font-size:1.05rem;margin:.1rem 0 .5rem}\n",
    ".kind{color:var(--soft);margin:.6rem 0 0;font-size:.9rem}\n",
    "h2{font-size:1.3rem;line-height:1.25;margin:1rem 0 .6rem}\n",
    "p{margin:.5rem 0}ol{padding-left:1.5rem;margin:.6rem 0}ol li{margin:.35rem 0}\n",
    ".care{list-style:none;margin:.6rem 0;padding:0;border-left:8px solid var(--rule);"
    "background:var(--tint)}.care li{padding:.25rem .6rem}\n",
    ".care .danger{border:2px solid var(--bad)}.care .danger strong{color:var(--bad)}\n",
    ".probes{border:1px solid var(--rule);border-radius:.4rem;padding:.5rem .7rem}"
    ".probes .at{font-weight:700}.probes .part{border:1px solid var(--soft);padding:0 .25rem}\n",
    ".reads{border-left:8px solid var(--good);padding:.2rem .6rem}.ask{font-weight:700;"
    "margin-top:1rem}\n",
    "a{color:var(--mark)}\n",
    ".node{list-style:none;margin:.5rem 0 1rem;padding:0}.node li{margin:.5rem 0}\n",
    ".node li a,.begin a,nav a,button{display:block;width:100%;min-height:3rem;padding:.7rem .9rem;"
    "border:2px solid var(--mark);border-radius:.5rem;background:var(--paper);color:var(--ink);"
    "font:inherit;text-align:left;text-decoration:none}\n",
    ".node li a:hover,.begin a:hover,nav a:hover,button:hover{background:var(--tint)}\n",
    ".begin a{font-weight:700;text-align:center}\n",
    ".node i{float:right;font-style:normal;color:var(--good);font-size:.9rem;margin-left:.5rem}\n",
    ".node small{display:block;color:var(--soft);font-size:.9rem;padding:.15rem .9rem}\n",
    "nav{display:flex;gap:.6rem;margin:1.5rem 0 .5rem}nav a,nav button{border-color:var(--rule)}\n",
    "nav button{flex:0 0 7rem}summary{min-height:2.75rem;padding:.6rem 0;color:var(--mark)}\n",
    ".record{border-top:1px solid var(--rule)}.record h2{font-size:1.05rem}"
    ".record li{font-size:.95rem}.record p{margin:.2rem 0;color:var(--soft)}\n",
    "footer{color:var(--soft);font-size:.85rem;border-top:1px solid var(--rule);"
    "margin-top:1.5rem}\n",
    "[hidden]{display:none}h2:focus{outline:none}\n",
    ":focus-visible{outline:3px solid var(--mark);outline-offset:2px}\n",
    /* With the script, one step at a time. */
    ".script .which{display:none}\n",
    "@media print{nav{display:none}}\n",
    NULL,
};

/* Without it the same by :has, where a browser knows that; else all steps stand, with links
 * between. The script takes these rules away: they are slow. */
const char jv_card_rules[] =
    ".step,.node,.which{display:none}.node:target,.step:target{display:block}"
    "main:has(.node:target) .start,main:has(.step:target) .start{display:none}"
    ".node,.step{scroll-margin-top:10000rem}\n";

const char jv_card_script[] =
    "(function () {\n"
    "'use strict';\n"
    "var made = null, list = document.getElementById('answered');\n"
    "var record = document.getElementById('record'), back = document.getElementById('back');\n"
    "var start = document.getElementById('start'), on = null, parts = {};\n"
    "var main = start.parentNode, bar = document.querySelector('nav');\n"
    "document.getElementById('rules').remove();\n"
    "document.body.className = 'script';\n"
    "Array.from(document.querySelectorAll('.step, .node'), function (e) {\n"
    "  parts[e.id] = e;\n"
    "  e.remove();\n"
    "});\n"
    "function node() {\n"
    "  var id = location.hash.slice(1);\n"
    "  return /^n\\d+$/.test(id) ? parts[id] : undefined;\n"
    "}\n"
    "function step(n) { return parts[n.className.split(' ')[1]]; }\n"
    "function line(to, kind, text) {\n"
    "  var e = document.createElement(kind);\n"
    "  e.textContent = text;\n"
    "  to.appendChild(e);\n"
    "  return e;\n"
    "}\n"
    "/* Lines of a step that has a name in it: they are needed again when it is mended. */\n"
    "function told(n) {\n"
    "  if (!n.classList.contains('found')) return [];\n"
    "  return Array.from(step(n).querySelectorAll('ol li'), function (e) { return e.textContent; "
    "});\n"
    "}\n"
    "function show() {\n"
    "  if (made) history.replaceState(made, '');\n"
    "  made = null;\n"
    "  var n = node(), answers = n ? history.state || [] : [];\n"
    "  list.textContent = '';\n"
    "  answers.forEach(function (x) {\n"
    "    var li = line(list, 'li', x[0] + ' \\u2013 ' + x[1]);\n"
    "    x[2].forEach(function (t) { line(li, 'p', t); });\n"
    "  });\n"
    "  record.hidden = !answers.length;\n"
    "  back.hidden = !n;\n"
    "  start.hidden = !!n;\n"
    "  if (on) [on, step(on)].forEach(function (e) { e.remove(); });\n"
    "  on = n;\n"
    "  if (on) [step(on), on].forEach(function (e) { main.insertBefore(e, bar); });\n"
    "  var h = n ? step(n).querySelector('h2') : document.getElementById('start-heading');\n"
    "  h.tabIndex = -1;\n"
    "  window.scrollTo(0, 0);\n"
    "  if (n) h.focus({ preventScroll: true });\n"
    "}\n"
    "document.addEventListener('click', function (e) {\n"
    "  var a = e.target.closest('.node a, .begin a');\n"
    "  if (!a) return;\n"
    "  made = on ? (history.state || []).concat([[step(on).querySelector('h2').textContent,\n"
    "    a.firstChild.textContent, told(on)]]) : [];\n"
    "});\n"
    "back.addEventListener('click', function () { history.back(); });\n"
    "window.addEventListener('hashchange', show);\n"
    "show();\n"
    "}());\n";
