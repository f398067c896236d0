#include "debrief/cells.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "board/check.h"
#include "debrief/json_rows.h"

void rows_each_trip(const struct debrief *d, struct row *row,
                    void (*rows)(struct row *, const struct facts *, int32_t trip))
{
    for (int32_t i = 0; i < d->trips.count; i++) {
        const struct facts *f = d->trips.items[i];
        row->clock = day_clock(f->utc_offset_ms, d->choice.zone_min, f->started_ms);
        rows(row, f, i);
    }
}

/* The column's name where rows are JSON, a comma where they are CSV. */
static const char *next_column(struct row *row)
{
    CHECK(row->at < row->table->column_count);
    if (!row->json && row->at > 0)
        out_text(row->out, ",");
    return row->table->columns[row->at++].name;
}

void row_begin(struct row *row)
{
    row->at = 0;
    if (!row->json)
        return;
    out_object(row->out, NULL);
    out_string(row->out, "table", row->table->name);
}

void row_end(struct row *row)
{
    CHECK(row->at == row->table->column_count);
    out_text(row->out, row->json ? "}\n" : "\r\n");
}

void cell_none(struct row *row)
{
    (void)next_column(row);
}

void cell_int(struct row *row, int64_t value)
{
    const char *name = next_column(row);
    if (row->json)
        out_int(row->out, name, value);
    else
        out_format(row->out, "%" PRId64, value);
}

void cell_number(struct row *row, double value)
{
    const char *name = next_column(row);
    char text[40];
    out_decimal(value, text);
    if (row->json)
        out_number(row->out, name, value);
    else
        out_text(row->out, text);
}

void cell_bool(struct row *row, bool value)
{
    const char *name = next_column(row);
    if (row->json)
        out_bool(row->out, name, value);
    else
        out_text(row->out, value ? "1" : "0");
}

void cell_quoted(struct out *out, const char *text)
{
    out_text(out, "\"");
    for (const char *quote; (quote = strchr(text, '"')) != NULL; text = quote + 1) {
        out_bytes(out, text, (size_t)(quote - text));
        out_text(out, "\"\"");
    }
    out_text(out, text);
    out_text(out, "\"");
}

void cell_word(struct row *row, const char *word)
{
    const char *name = next_column(row);
    if (row->json)
        out_string(row->out, name, word);
    else
        cell_quoted(row->out, word);
}

/* After the advice of OWASP on CSV injection: these first characters make a formula. */
static bool may_be_formula(const char *text)
{
    return text[0] != '\0' && strchr("=+-@\t\r", text[0]) != NULL;
}

void cell_foreign(struct row *row, const char *text)
{
    char harmless[1024];
    (void)snprintf(harmless, sizeof harmless, "%s%s", !row->json && may_be_formula(text) ? "'" : "", text);
    cell_word(row, harmless);
}

void cell_text(struct row *row, int32_t name)
{
    cell_foreign(row, texts_get(&row->debrief->texts, name));
}

void cell_person(struct row *row, int32_t name)
{
    cell_foreign(row, json_person(row->debrief, name));
}

void cell_ms(struct row *row, int64_t ms)
{
    if (ms == NEVER)
        cell_none(row);
    else
        cell_int(row, ms);
}

void cell_when(struct row *row, int64_t at_ms)
{
    char text[48];
    if (at_ms == NEVER || !day_when(&row->clock, row->debrief->choice.zone_min, at_ms, text))
        cell_none(row);
    else
        cell_word(row, text);
}
