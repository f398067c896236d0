#include "options.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "debrief/choice.h"

enum known_option {
    OPTION_DATA = 256,
    OPTION_SPARE,
    OPTION_PORT,
    OPTION_ADDRESS,
    OPTION_NAME,
    OPTION_RULES,
    OPTION_QUIET,
    OPTION_TLS,
    OPTION_TLS_CERT,
    OPTION_TLS_KEY,
    OPTION_AT,
    OPTION_JSON,
    OPTION_JSONL,
    OPTION_CSV,
    OPTION_HTML,
    OPTION_TRIPS,
    OPTION_MONTHS,
    OPTION_BAIT,
    OPTION_POSITION,
    OPTION_ZONE,
    OPTION_NO_NAMES,
    OPTION_NO_PLACES,
    OPTION_VERSION,
    OPTION_HELP
};

static const struct option long_options[] = {
    {"data", required_argument, NULL, OPTION_DATA},
    {"spare", required_argument, NULL, OPTION_SPARE},
    {"port", required_argument, NULL, OPTION_PORT},
    {"address", required_argument, NULL, OPTION_ADDRESS},
    {"name", required_argument, NULL, OPTION_NAME},
    {"rules", required_argument, NULL, OPTION_RULES},
    {"quiet", no_argument, NULL, OPTION_QUIET},
    {"tls", no_argument, NULL, OPTION_TLS},
    {"tls-cert", required_argument, NULL, OPTION_TLS_CERT},
    {"tls-key", required_argument, NULL, OPTION_TLS_KEY},
    {"at", required_argument, NULL, OPTION_AT},
    {"json", no_argument, NULL, OPTION_JSON},
    {"jsonl", no_argument, NULL, OPTION_JSONL},
    {"csv", required_argument, NULL, OPTION_CSV},
    {"html", required_argument, NULL, OPTION_HTML},
    {"trip", required_argument, NULL, OPTION_TRIPS},
    {"trips", required_argument, NULL, OPTION_TRIPS},
    {"months", required_argument, NULL, OPTION_MONTHS},
    {"bait", required_argument, NULL, OPTION_BAIT},
    {"position", required_argument, NULL, OPTION_POSITION},
    {"zone", required_argument, NULL, OPTION_ZONE},
    {"no-names", no_argument, NULL, OPTION_NO_NAMES},
    {"no-places", no_argument, NULL, OPTION_NO_PLACES},
    {"version", no_argument, NULL, OPTION_VERSION},
    {"help", no_argument, NULL, OPTION_HELP},
    {0},
};

/* A whole number in a range, in digits alone. */
static bool read_number(const char *text, int64_t min, int64_t max, int64_t *value)
{
    size_t digits = strspn(text, "0123456789");
    if (digits == 0 || digits > 15 || text[digits])
        return false;
    *value = 0;
    for (size_t i = 0; i < digits; i++)
        *value = *value * 10 + (text[i] - '0');
    return *value >= min && *value <= max;
}

static enum err set_data(struct options *options, const char *folder, const char *below, struct msg *why)
{
    int len = snprintf(options->data, sizeof options->data, "%s%s", folder, below);
    if (len <= 0 || len >= (int)sizeof options->data)
        return err_set(why, ERR_USAGE, "The name of the data folder is empty or too long.");
    return ERR_NONE;
}

/* By the XDG Base Directory Specification: $XDG_DATA_HOME, or ~/.local/share. */
static enum err set_usual_data(struct options *options, struct msg *why)
{
    const char *xdg = getenv("XDG_DATA_HOME");
    if (xdg && xdg[0] == '/')
        return set_data(options, xdg, "/sternboard", why);
    const char *home = getenv("HOME");
    if (home && home[0] == '/')
        return set_data(options, home, "/.local/share/sternboard", why);
    return err_set(why, ERR_USAGE, "There is no home folder to keep the log in: say where with --data DIR.");
}

static const char *long_option_name(enum known_option option)
{
    size_t i = 0;
    while (long_options[i].val != (int)option)
        i++;
    return long_options[i].name;
}

/* Those of debrief alone. */
static enum err take_debrief_option(struct debrief_options *debrief, enum known_option option, const char *value,
                                    struct msg *why)
{
    struct debrief_choice *choice = &debrief->choice;
    bool good = true;
    if (option == OPTION_JSON)
        debrief->as = PRINT_JSON;
    else if (option == OPTION_JSONL)
        debrief->as = PRINT_LINES;
    else if (option == OPTION_CSV)
        debrief->csv_dir = value;
    else if (option == OPTION_HTML)
        debrief->html = value;
    else if (option == OPTION_TRIPS)
        good = choice_trips(choice, value);
    else if (option == OPTION_MONTHS)
        good = choice_months(choice, value);
    else if (option == OPTION_BAIT)
        choice->bait = value;
    else if (option == OPTION_POSITION)
        choice->position = value;
    else if (option == OPTION_ZONE)
        good = choice_zone(choice, value);
    else if (option == OPTION_NO_NAMES)
        choice->no_names = true;
    else if (option == OPTION_NO_PLACES)
        choice->no_places = true;
    if (!good)
        return err_set(why, ERR_USAGE,
                       "\"%s\" is not understood: --trips takes 3, 3-7, all or last; --months 6,7; --zone -04:00.",
                       value);
    return ERR_NONE;
}

static enum err take_option(struct options *options, enum known_option option, const char *value, struct msg *why)
{
    int64_t number = 0;
    switch (option) {
    case OPTION_DATA: return set_data(options, value, "", why);
    case OPTION_SPARE:
        if (!value[0] || strlen(value) >= OPTIONS_PATH_LEN - 32)
            return err_set(why, ERR_USAGE, "The name of the spare copy's folder is empty or too long.");
        options->spare = value;
        return ERR_NONE;
    case OPTION_PORT:
        if (!read_number(value, 1, 65535, &number))
            return err_set(why, ERR_USAGE, "A port is a number from 1 to 65535, not \"%s\".", value);
        options->port = (int32_t)number;
        return ERR_NONE;
    case OPTION_ADDRESS: options->address = value; return ERR_NONE;
    case OPTION_NAME:
        if (options->name_count == OPTIONS_NAMES_MAX)
            return err_set(why, ERR_USAGE, "There are more than %d names.", OPTIONS_NAMES_MAX);
        options->names[options->name_count++] = value;
        return ERR_NONE;
    case OPTION_RULES: options->rules = value; return ERR_NONE;
    case OPTION_QUIET: options->quiet = true; return ERR_NONE;
    case OPTION_TLS: options->tls = true; return ERR_NONE;
    case OPTION_TLS_CERT: options->tls_cert = value; return ERR_NONE;
    case OPTION_TLS_KEY: options->tls_key = value; return ERR_NONE;
    case OPTION_AT:
        if (!read_number(value, 1, 999999999999999, &options->at_seq))
            return err_set(why, ERR_USAGE, "--at takes the number of an entry, from 1 on, not \"%s\".", value);
        return ERR_NONE;
    case OPTION_JSON:
    case OPTION_JSONL:
    case OPTION_CSV:
    case OPTION_HTML:
    case OPTION_TRIPS:
    case OPTION_MONTHS:
    case OPTION_BAIT:
    case OPTION_POSITION:
    case OPTION_ZONE:
    case OPTION_NO_NAMES:
    case OPTION_NO_PLACES:
        options->debrief.given = long_option_name(option);
        return take_debrief_option(&options->debrief, option, value, why);
    case OPTION_VERSION: options->command = COMMAND_VERSION; return ERR_NONE;
    case OPTION_HELP: options->command = COMMAND_HELP; return ERR_NONE;
    }
    return err_set(why, ERR_USAGE, "That option is not known: try --help.");
}

static enum err take_command(struct options *options, const char *word, struct msg *why)
{
    static const char *const words[] = {
        [COMMAND_VERIFY] = "verify", [COMMAND_DUMP] = "dump",       [COMMAND_SHOW] = "show",
        [COMMAND_BACKUP] = "backup", [COMMAND_RESTORE] = "restore", [COMMAND_DEBRIEF] = "debrief"};
    for (size_t i = COMMAND_VERIFY; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(word, words[i]) == 0) {
            options->command = (enum command)i;
            return ERR_NONE;
        }
    return err_set(why, ERR_USAGE, "\"%s\" is no command of the board: try --help.", word);
}

static enum err take_words(struct options *options, int count, char *const words[], struct msg *why)
{
    if (options->command == COMMAND_HELP || options->command == COMMAND_VERSION || count == 0)
        return ERR_NONE;
    enum err err = take_command(options, words[0], why);
    if (err)
        return err;
    if (count > 2)
        return err_set(why, ERR_USAGE, "\"%s\" is one word too many: try --help.", words[2]);
    options->file = count == 2 ? words[1] : NULL;
    if (options->command == COMMAND_BACKUP && !options->file)
        return err_set(why, ERR_USAGE, "Say which file the backup is to be: sternboard backup FILE.");
    if (options->command == COMMAND_RESTORE && !options->file)
        return err_set(why, ERR_USAGE, "Say which file to restore the log from: sternboard restore FILE.");
    return ERR_NONE;
}

enum err options_read(struct options *options, int argc, char *const argv[], struct msg *why)
{
    memset(options, 0, sizeof *options);
    options->port = OPTIONS_PORT;
    optind = 0; /* glibc: begin anew, and let options stand behind words */
    opterr = 0;
    for (int option; (option = getopt_long(argc, argv, ":", long_options, NULL)) != -1;) {
        if (option == ':')
            return err_set(why, ERR_USAGE, "%s needs a value: try --help.", argv[optind - 1]);
        if (option == '?')
            return err_set(why, ERR_USAGE, "The option %s is not known: try --help.", argv[optind - 1]);
        enum err err = take_option(options, (enum known_option)option, optarg, why);
        if (err)
            return err;
    }
    enum err err = take_words(options, argc - optind, argv + optind, why);
    if (err)
        return err;
    if (!options->tls_cert != !options->tls_key)
        return err_set(why, ERR_USAGE,
                       "--tls-cert and --tls-key go together: a certificate is of no use without its key.");
    options->tls = options->tls || options->tls_cert;
    if (options->at_seq && options->command != COMMAND_SHOW)
        return err_set(why, ERR_USAGE, "--at is for show alone.");
    if (options->debrief.given && options->command != COMMAND_DEBRIEF)
        return err_set(why, ERR_USAGE, "--%s is for debrief alone.", options->debrief.given);
    if (options->spare && options->command != COMMAND_SERVE)
        return err_set(why, ERR_USAGE, "--spare is for the board in service alone.");
    err = options->data[0] ? ERR_NONE : set_usual_data(options, why);
    if (!err && options->spare && strcmp(options->spare, options->data) == 0)
        return err_set(why, ERR_USAGE, "--spare names the folder of the log itself: name one on another disk.");
    return err;
}
