//! The head of the page and its style.

use super::markup::{Markup, html, own_rules, rules};
use super::picture;

/// Up to the beginning of the body. `running` are the rules for what runs along the edges of printed pages.
pub(super) fn head(title: &str, running: String) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            title { (title) }
            style { (rules(STYLE)) (rules(picture::STYLE)) (own_rules(running)) }
        }
    }
}

/// Light on screen and on paper, dark where the reader's screen is.
const STYLE: &str = "
:root{color-scheme:light dark;--paper:#fff;--ink:#1b1f24;--soft:#4a525c;--line:#b9c0c8;--band:#f1f3f5;--warn:#7a4b00;\
--fail:#a11212;--link:#0b4fa3}
@media (prefers-color-scheme:dark){:root{--paper:#14171b;--ink:#e9ecef;--soft:#b4bcc5;--line:#59636e;--band:#20252b;\
--warn:#f0b860;--fail:#ff9a94;--link:#8ec2ff}}
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:64rem;background:var(--paper);color:var(--ink);\
font:15px/1.45 system-ui,-apple-system,\"Segoe UI\",\"DejaVu Sans\",sans-serif}
h1,h2,p,li,bdi,code{overflow-wrap:anywhere}
.name{display:inline-block;min-width:7rem;max-width:16rem;overflow-wrap:anywhere}
h1{font-size:1.6rem;line-height:1.2}h2{font-size:1.3rem;border-top:2px solid var(--ink);padding-top:.6rem}
h3{font-size:1.1rem}h4{font-size:1rem;margin-bottom:.3rem}
a{color:var(--link)}
.composite{line-height:2.5}
.small,.unit{font-size:.85em;color:var(--soft)}
.warning strong{color:var(--warn)}.failed strong{color:var(--fail)}
.findings{padding-left:1.2rem}
.wide{overflow-x:auto;margin:.5rem 0}
table{border-collapse:collapse;width:100%}
caption{text-align:left;font-weight:600;padding:.2rem 0}
th,td{border-bottom:1px solid var(--line);padding:.2rem .45rem;text-align:left;vertical-align:top;font-weight:400}
thead th{font-weight:600;vertical-align:bottom;border-bottom:2px solid var(--ink)}
tfoot th,tfoot td,.sum th,.sum td{border-top:2px solid var(--ink);font-weight:600}
tbody tr:nth-child(even){background:var(--band)}
.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap;overflow-wrap:normal}\
.title-block table{table-layout:fixed}.title-block th{width:6.8rem;white-space:nowrap;color:var(--soft)}.title-block td{border:1px solid var(--line)}\
.title-block .sign td{height:1.8rem}.title-block tr{background:none!important}\
.step{margin:.15rem 0;overflow-wrap:anywhere}.step .numbers{white-space:normal}.step .value{white-space:nowrap}
sub,sup{line-height:0}
.halves{display:flex;flex-wrap:wrap;gap:0 1rem;align-items:flex-start}.halves .wide{flex:1 1 19rem}
.g{margin-left:.17em}
.figures{font-size:.9em}.results td{white-space:nowrap;overflow-wrap:normal}
.read th{width:9rem}.read code{overflow-wrap:anywhere}
figure{margin:1rem 0;max-width:var(--width)}.pair{display:flex;flex-wrap:wrap;gap:1rem}.pair figure{flex:1 1 20rem}
.signs{list-style:none;padding:0;margin:.3rem 0;display:flex;flex-wrap:wrap;gap:.15rem 1.1rem}.signs svg{vertical-align:middle}
figcaption{font-size:.9em;color:var(--soft)}
article{content-visibility:auto;contain-intrinsic-size:auto 60rem}
footer{border-top:1px solid var(--line);margin-top:1.5rem;font-size:.85em;color:var(--soft)}
.places ul{list-style:none;margin:0;padding:0;columns:18rem;font-size:.9em}
@media screen and (max-width:40rem){.title-block{font-size:.8em}.title-block th{width:4.6rem;white-space:normal}.results,.results tbody,.results caption{display:block}
.results thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.results tr{display:flex;flex-wrap:wrap;gap:0 .8rem;border-bottom:1px solid var(--line);padding:.3rem 0}
.results th,.results td{border:0;padding:0}.results th{flex:1 0 100%}.results .n{font-weight:600}
.results td:nth-of-type(n+3){color:var(--soft)}
.results td:nth-of-type(4)::before{content:\"EN: \"}.results td:nth-of-type(5)::before{content:\"US: \"}}
@page{margin:12mm 12mm 10mm;font:7.5pt system-ui,\"DejaVu Sans\",\"Noto Sans CJK SC\",sans-serif}
@media print{:root{color-scheme:light;--paper:#fff;--ink:#000;--soft:#333;--line:#999;--band:#f3f3f3;--warn:#000;\
--fail:#000;--link:#000}
body{max-width:none;padding:0;font-size:8.5pt;line-height:1.25}a{text-decoration:none}
h1{font-size:13pt;margin:0 0 1.5mm}h2{font-size:11pt;margin:1.5mm 0 1mm;padding-top:.6mm}h3{font-size:10pt;margin:2mm 0 1mm}
h4{font-size:9pt;margin:1mm 0 .2mm}p,ul{margin:1mm 0}
.small,.unit,figcaption,footer{font-size:7.5pt}.title-block,.figures,.results,.results .unit,.figures .unit{font-size:7.5pt}
article{content-visibility:visible}article+article{break-before:page}.many article{break-before:page}
.wide{overflow-x:visible;margin:.6mm 0}th,td{padding:.12mm 1mm}.figures th,.figures td{padding:.1mm .8mm 0}.cut th,.cut td{padding:.1mm .5mm 0}.results th,.results td{padding:.1mm 1mm 0}
.results,.figures{line-height:1.1}caption{padding:.5mm 0}.small{margin:.6mm 0}sub{font-size:.78em;vertical-align:-.2em}sup{font-size:.75em;vertical-align:.32em}.axis th{font-weight:600}.read{font-size:7.5pt}.figures thead br{display:none}.halves{flex-wrap:nowrap;gap:4mm}.halves th,.halves td{padding:.1mm .4mm}
footer{display:none}figure{margin:0;max-width:calc(var(--width)*.84)}
.signs{gap:0 .8rem;margin:0}.steps{columns:2;column-gap:4mm}.step,.together{break-inside:avoid}.pair{display:block}
thead{display:table-header-group}tfoot{display:table-row-group}tr,figure,.title-block{break-inside:avoid}
h1,h2,h3,h4,caption,thead{break-after:avoid}h2,h3,h4{break-inside:avoid}
tfoot tr,tbody tr:last-child{break-before:avoid}.axis{break-after:avoid}p{orphans:3;widows:3}
.title-block .sign td{height:4mm}.left-out,.read{break-inside:avoid}
.teaching:not(.printed),.edge-working:not(.printed) .formulas{display:none}\
.read table,.read tbody{display:block}.read tbody{columns:2}.read tr{display:flex;background:none!important}.read th{width:24mm;flex:none}
.step{font-size:7.5pt;line-height:1.22;margin:.25mm 0}.corner{margin:.5mm 0}
.name{min-width:0}.places ul{columns:3;column-gap:4mm;font-size:7.5pt}.places h3{font-size:8.5pt;margin:1mm 0 0}
}
";
