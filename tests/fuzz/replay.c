/* Runs a target's kept inputs, each once: fuzz_NAME FOLDER... An input that breaks something aborts, as it would under the fuzzer;
 * the name printed last is its name. */
#include "fuzz.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { INPUT_MAX = 1 << 20 };

static int compare(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static int run(const char *folder, const char *name)
{
    char path[1024];
    size_t len;
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    (void)printf("%s\n", path);
    (void)fflush(stdout);
    char *bytes = fuzz_read(path, INPUT_MAX, &len);
    int rc = LLVMFuzzerTestOneInput((const uint8_t *)bytes, len);
    free(bytes);
    return rc;
}

int main(int argc, char *argv[])
{
    int count = 0;
    for (int i = 1; i < argc; i++) {
        struct dirent **names = NULL;
        int found = scandir(argv[i], &names, NULL, compare);
        for (int k = 0; k < found; k++) {
            if (names[k]->d_name[0] != '.') {
                if (run(argv[i], names[k]->d_name) != 0)
                    return EXIT_FAILURE;
                count++;
            }
            free(names[k]);
        }
        free(names);
    }
    (void)printf("%d inputs\n", count);
    return count > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
