/* The command line, one word a line. Either it is taken and every option is within its bounds, or one sentence says why not. */
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "fuzz.h"
#include "net/names.h"
#include "options.h"

enum { WORDS_MAX = 40 };

static void check_options(const struct options *options)
{
    static struct names names;
    CHECK(options->port >= 1 && options->port <= 65535);
    CHECK(options->name_count >= 0 && options->name_count <= OPTIONS_NAMES_MAX);
    CHECK(memchr(options->data, '\0', sizeof options->data) != NULL && options->data[0] != '\0');
    names_init(&names, options->port, options->tls);
    for (int32_t i = 0; i < options->name_count; i++)
        (void)names_add(&names, options->names[i]);
    CHECK(names.count <= NAMES_MAX && names.own_count == names.count);
    for (int32_t i = 0; i < names.count; i++) {
        CHECK(names.host[i][strspn(names.host[i], "abcdefghijklmnopqrstuvwxyz0123456789.-:[]")] == '\0');
        CHECK(names_find(&names, names.host[i]) != NULL);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static struct options options;
    char program[] = "sternboard", *words[WORDS_MAX + 2] = {program};
    int count = 1;
    char *copy = malloc(len + 1);
    CHECK(copy != NULL && setenv("HOME", "/home", 1) == 0);
    memcpy(copy, bytes, len);
    copy[len] = '\0';
    for (char *rest = copy, *word; count <= WORDS_MAX && (word = strsep(&rest, "\n")) != NULL;)
        words[count++] = word;
    struct msg why = {""};
    enum err err = options_read(&options, count, words, &why);
    if (err == ERR_NONE)
        check_options(&options);
    else
        CHECK(err == ERR_USAGE && why.text[0] != '\0');
    free(copy);
    return 0;
}
