#include "debrief/csv.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "debrief/tables.h"

enum { PATH_BYTES = 4096 };

static void write_table(const struct debrief *d, const struct table *table, bool json, struct out *out)
{
    struct row row = {.out = out, .debrief = d, .table = table, .json = json};
    for (int32_t i = 0; i < table->column_count && !json; i++) {
        out_text(out, i > 0 ? "," : "");
        cell_quoted(out, table->columns[i].name);
    }
    out_text(out, json ? "" : "\r\n");
    table->rows(d, &row);
}

static void write_columns(struct out *out)
{
    out_text(out, "\"table\",\"column\",\"what\"\r\n");
    for (int32_t i = 0; i < tables_count(); i++) {
        cell_quoted(out, tables_get(i)->name);
        out_text(out, ",\"\",");
        cell_quoted(out, tables_get(i)->about);
        out_text(out, "\r\n");
        for (int32_t k = 0; k < tables_get(i)->column_count; k++) {
            cell_quoted(out, tables_get(i)->name);
            out_text(out, ",");
            cell_quoted(out, tables_get(i)->columns[k].name);
            out_text(out, ",");
            cell_quoted(out, tables_get(i)->columns[k].about);
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
