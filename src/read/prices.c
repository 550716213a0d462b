/* prices.c - price lists of cable. SPDX-License-Identifier: MIT */
#include "jackvolt/prices.h"

#include "read/file.h"

#include <math.h>
#include <string.h>

static const double m_per_ft = 0.3048; /* international foot */
enum { LINE_BYTES = 160, MOST_BYTES = 1 << 20 };
static const char form[] = "Write one size a line: \"6 AWG, 2.40 per ft\".";

typedef struct jv_price_list {
    jv_price *items;
    size_t n, room;
    const char *name;
    jv_diags *diags;
} jv_price_list;

static void fault(const jv_price_list *l, size_t line, const char *message, const char *text) {
    jv_place place = {.file = l->name, .line = line, .column = 1};
    jv_diag_add(l->diags, JV_ERROR, JV_CODE_QUANTITY_FORM, &place, form, "%s: \"%s\"", message,
                text);
}

static const char *skip(const char *s) {
    while (*s == ' ' || *s == '\t')
        s++;
    return s;
}

/* Two prices of one size: nobody knows which counts. */
static bool has_price(const jv_price_list *l, const jv_size *s) {
    static const double same_mm2 = 1e-9;
    for (size_t i = 0; i < l->n; i++) {
        const jv_size *o = &l->items[i].size;
        if (o->system == s->system && o->gauge == s->gauge &&
            fabs(o->area_mm2 - s->area_mm2) < same_mm2)
            return true;
    }
    return false;
}

static jv_status keep(jv_price_list *l, const jv_price *p) {
    if (l->n == l->room) {
        size_t wanted = l->room ? 2 * l->room : 32;
        jv_price *moved = jv_resize(l->items, wanted, sizeof *moved);
        if (!moved)
            return JV_ERR_MEMORY;
        l->items = moved;
        l->room = wanted;
    }
    l->items[l->n++] = *p;
    return JV_OK;
}

/* Price and unit behind the comma; false when they cannot be read. */
static bool read_price(const char *s, double *per_m) {
    const char *end;
    if (!jv_number_read(skip(s), per_m, &end) || !(*per_m > 0) || !isfinite(*per_m))
        return false;
    end = skip(end);
    if (strcmp(end, "per ft") == 0)
        *per_m /= m_per_ft;
    else if (*end && strcmp(end, "per m") != 0)
        return false;
    return true;
}

static jv_status read_line(jv_price_list *l, char *line, size_t number) {
    size_t n = strlen(line);
    while (n && (line[n - 1] == ' ' || line[n - 1] == '\t' || line[n - 1] == '\r'))
        line[--n] = '\0';
    const char *start = skip(line);
    if (!*start || *start == '#')
        return JV_OK;
    char *comma = strchr(line, ',');
    jv_price p;
    if (!comma || !read_price(comma + 1, &p.per_m)) {
        fault(l, number, "no price can be read", start);
        return JV_OK;
    }
    *comma = '\0';
    if (jv_size_read(start, &p.size, NULL) != JV_OK) {
        fault(l, number, "no size can be read", start);
        return JV_OK;
    }
    if (has_price(l, &p.size)) {
        fault(l, number, "this size has a price already", start);
        return JV_OK;
    }
    return keep(l, &p);
}

jv_status jv_prices_read_text(const char *text, const char *name, jv_diags *diags, jv_price **out,
                              size_t *n) {
    jv_price_list l = {.name = name, .diags = diags};
    size_t errors = diags->errors, number = 1;
    jv_status status = JV_OK;
    for (const char *s = text; *s && status == JV_OK; number++) {
        char line[LINE_BYTES];
        size_t length = strcspn(s, "\n"), kept = length < LINE_BYTES - 1 ? length : LINE_BYTES - 1;
        memcpy(line, s, kept);
        line[kept] = '\0';
        if (kept < length)
            fault(&l, number, "the line is too long", line);
        else
            status = read_line(&l, line, number);
        s += length + (s[length] == '\n');
    }
    if (status == JV_OK && diags->errors > errors)
        status = JV_ERR_INPUT;
    if (status == JV_OK && !l.n) {
        fault(&l, 1, "the price list has no price", name ? name : "");
        status = JV_ERR_INPUT;
    }
    if (status != JV_OK) {
        jv_free(l.items);
        return status;
    }
    *out = l.items;
    *n = l.n;
    return JV_OK;
}

jv_status jv_prices_read_file(const char *path, jv_diags *diags, jv_price **out, size_t *n) {
    char *data = NULL;
    size_t size = 0;
    jv_status status = jv_file_read(path, MOST_BYTES, diags, &data, &size);
    if (status == JV_OK)
        status = jv_prices_read_text(data, path, diags, out, n);
    jv_free(data);
    return status;
}
