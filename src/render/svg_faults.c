/* svg_faults.c - the odds of faults as bars. SPDX-License-Identifier: MIT */
#include "render/report_part.h"
#include "render/svg.h"

#include <math.h>

static const double left = 4.0, width = 780.0, right_room = 60.0, row_high = 30.0;

void jv_report_faults(jv_report_work *work, jv_tag *section, const jv_finder *f, const char *when) {
    jv_page *page = &work->page;
    size_t n;
    const jv_odds *odds = jv_finder_odds(f, &n);
    size_t shown = jv_report_faults_shown(f);
    if (!shown)
        return;
    const char *title = jv_report_printf(work, "Odds %s, of the faults considered", when);
    jv_tag *figure = jv_report_figure(work, section, title);
    const jv_suspect *first = jv_finder_suspect(f, odds[0].suspect);
    jv_tag *svg = jv_tag_svg(page, figure, width, row_high * (double)shown + 6.0, title,
                             jv_report_printf(work,
                                              "A bar for each fault, likeliest first: %s, %.0f %%. "
                                              "The table below holds the same figures.",
                                              first->words, 100.0 * odds[0].probability));
    jv_tag_set(page, svg, "class", "plot");
    for (size_t i = 0; i < shown; i++) {
        double y = row_high * (double)i + 12.0, share = fmin(fmax(odds[i].probability, 0.0), 1.0);
        double bar = fmax((width - left - right_room) * share, 1.0);
        jv_svg_text(page, svg, "small", left, y, "start",
                    jv_finder_suspect(f, odds[i].suspect)->words);
        jv_svg_rect(page, svg, "bar", left, y + 4.0, bar, 9.0);
        jv_svg_text(page, svg, "small", left + bar + 6.0, y + 12.0, "start",
                    jv_report_printf(work, "%.0f %%", 100.0 * share));
    }
}
