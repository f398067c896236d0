#include "debrief/csv.h"

#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "board/check.h"
#include "debrief/json_rows.h"
#include "debrief/tables.h"

enum { PATH_BYTES = 4096 };

/* ---- cells ---- */

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

static void quoted(struct out *out, const char *text)
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
        quoted(row->out, word);
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

/* ---- files and lines ---- */

static void write_table(const struct debrief *d, const struct table *table, bool json, struct out *out)
{
    struct row row = {.out = out, .debrief = d, .table = table, .json = json};
    for (int32_t i = 0; i < table->column_count && !json; i++) {
        out_text(out, i > 0 ? "," : "");
        quoted(out, table->columns[i].name);
    }
    out_text(out, json ? "" : "\r\n");
    table->rows(d, &row);
}

static void write_columns(struct out *out)
{
    out_text(out, "\"table\",\"column\",\"what\"\r\n");
    for (int32_t i = 0; i < tables_count(); i++) {
        quoted(out, tables_get(i)->name);
        out_text(out, ",\"\",");
        quoted(out, tables_get(i)->about);
        out_text(out, "\r\n");
        for (int32_t k = 0; k < tables_get(i)->column_count; k++) {
            quoted(out, tables_get(i)->name);
            out_text(out, ",");
            quoted(out, tables_get(i)->columns[k].name);
            out_text(out, ",");
            quoted(out, tables_get(i)->columns[k].about);
            out_text(out, "\r\n");
        }
    }
}

void csv_lines(const struct debrief *d, struct out *out)
{
    for (int32_t i = 0; i < tables_count(); i++)
        write_table(d, tables_get(i), true, out);
}

bool csv_table(const struct debrief *d, const char *name, struct out *out)
{
    if (name == NULL) {
        write_columns(out);
        return true;
    }
    for (int32_t i = 0; i < tables_count(); i++) {
        if (strcmp(tables_get(i)->name, name) == 0) {
            write_table(d, tables_get(i), false, out);
            return true;
        }
    }
    return false;
}

static enum err write_file(const char *dir, const char *name, const struct out *out, struct msg *why)
{
    char path[PATH_BYTES];
    int len = snprintf(path, sizeof path, "%s/%s.csv", dir, name);
    if (len < 0 || len >= (int)sizeof path)
        return err_set(why, ERR_CANNOT_MAKE, "The name of the folder for the tables is too long.");
    FILE *file = fopen(path, "w");
    bool good = file != NULL && fwrite(out->text, 1, out->len, file) == out->len;
    if (file != NULL)
        good = fclose(file) == 0 && good;
    if (!good)
        return err_set(why, ERR_CANNOT_MAKE, "%s cannot be written (%s).", path, strerror(errno));
    return ERR_NONE;
}

enum err csv_files(const struct debrief *d, const char *dir, struct msg *why)
{
    enum err err = ERR_NONE;
    if (mkdir(dir, 0777) != 0 && errno != EEXIST)
        return err_set(why, ERR_CANNOT_MAKE, "The folder %s cannot be made (%s).", dir, strerror(errno));
    for (int32_t i = -1; i < tables_count() && err == ERR_NONE; i++) {
        struct out out;
        const char *name = i < 0 ? "columns" : tables_get(i)->name;
        out_open(&out);
        (void)csv_table(d, i < 0 ? NULL : name, &out);
        err = write_file(dir, name, &out, why);
        out_release(&out);
    }
    return err;
}
