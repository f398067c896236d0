/* Certificates made for --tls, looked at with OpenSSL's own eyes: RFC 5280 (6 for the path, 4.2.1.10 for the bounds of names), and what
 * phones ask for (support.apple.com/103769: names in SAN, serverAuth, at most 825 days). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <openssl/pem.h>
#include <openssl/x509v3.h>

#include "certificate.h"

#define DAY_MS   86400000LL
#define START_MS 1800000000000LL

/* A data folder, the names of a board, and what was last made of them. */
struct scene {
    char dir[64];
    struct names names;
    struct certificate made;
    X509 *authority, *board;
};

static X509 *read_certificate(const char *dir, const char *name)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/%s", dir, name);
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    X509 *certificate = PEM_read_X509(file, NULL, NULL, NULL);
    (void)fclose(file);
    assert_non_null(certificate);
    return certificate;
}

static void forget(struct scene *scene)
{
    X509_free(scene->authority);
    X509_free(scene->board);
    scene->authority = scene->board = NULL;
}

static void make(struct scene *scene, int64_t utc_ms)
{
    struct msg why = {""};
    forget(scene);
    assert_int_equal(certificate_make(&scene->made, scene->dir, &scene->names, utc_ms, &why), ERR_NONE);
    scene->authority = read_certificate(scene->dir, "tls-authority.pem");
    scene->board = read_certificate(scene->dir, "tls-board.pem");
}

static void open_scene(struct scene *scene)
{
    *scene = (struct scene){.dir = "/dev/shm/sternboard-XXXXXX"};
    if (mkdtemp(scene->dir) == NULL) {
        static const char here[] = "sternboard-XXXXXX";
        memcpy(scene->dir, here, sizeof here);
        assert_non_null(mkdtemp(scene->dir));
    }
    names_init(&scene->names, 8470, true);
    assert_true(names_add(&scene->names, "boat.test"));
    make(scene, START_MS);
}

static void close_scene(struct scene *scene)
{
    char path[128];
    forget(scene);
    for (int i = 0; i < 2; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", scene->dir, i ? "tls-board.pem" : "tls-authority.pem");
        assert_int_equal(unlink(path), 0);
    }
    assert_int_equal(rmdir(scene->dir), 0);
}

/* Does a client that trusts the authority alone take the certificate at that time? */
static bool is_trusted(X509 *certificate, X509 *authority, int64_t utc_ms)
{
    X509_STORE *store = X509_STORE_new();
    X509_STORE_CTX *context = X509_STORE_CTX_new();
    assert_int_equal(X509_STORE_add_cert(store, authority), 1);
    assert_int_equal(X509_STORE_CTX_init(context, store, certificate, NULL), 1);
    X509_VERIFY_PARAM_set_time(X509_STORE_CTX_get0_param(context), (time_t)(utc_ms / 1000));
    assert_int_equal(X509_STORE_CTX_set_purpose(context, X509_PURPOSE_SSL_SERVER), 1);
    bool trusted = X509_verify_cert(context) == 1;
    X509_STORE_CTX_free(context);
    X509_STORE_free(store);
    return trusted;
}

static void test_made(void **state)
{
    (void)state;
    struct scene scene;
    struct stat facts;
    int days = 0, seconds = 0;
    open_scene(&scene);
    assert_true(scene.made.authority_made);
    assert_int_equal(X509_check_host(scene.board, "boat.test", 0, 0, NULL), 1);
    assert_int_equal(X509_check_host(scene.board, "localhost", 0, 0, NULL), 1);
    assert_int_equal(X509_check_host(scene.board, "other.test", 0, 0, NULL), 0);
    assert_true(is_trusted(scene.board, scene.authority, START_MS));
    assert_true(is_trusted(scene.board, scene.authority, START_MS - DAY_MS / 2));
    assert_false(is_trusted(scene.board, scene.authority, START_MS + 400 * DAY_MS));
    assert_int_equal(ASN1_TIME_diff(&days, &seconds, X509_get0_notBefore(scene.board), X509_get0_notAfter(scene.board)),
                     1);
    assert_in_range(days, 365, 825);
    assert_true(X509_get_extended_key_usage(scene.board) & XKU_SSL_SERVER);
    assert_true(X509_check_ca(scene.authority) == 1 && X509_check_ca(scene.board) == 0);
    for (int i = 0; i < 2; i++) {
        char path[128];
        (void)snprintf(path, sizeof path, "%s/%s", scene.dir, i ? "tls-board.pem" : "tls-authority.pem");
        assert_int_equal(stat(path, &facts), 0);
        assert_int_equal(facts.st_mode & 0777, 0600);
    }
    assert_null(strstr(scene.made.authority, "PRIVATE"));
    assert_non_null(strstr(scene.made.authority, "BEGIN CERTIFICATE"));
    assert_int_equal(strlen(scene.made.fingerprint), 32 * 3 - 1);
    close_scene(&scene);
}

/* Nothing changes without need; what ends or lacks a name is made anew, the authority as seldom as can be. */
static void test_renewed(void **state)
{
    (void)state;
    struct scene scene;
    open_scene(&scene);
    X509 *authority = X509_dup(scene.authority), *board = X509_dup(scene.board);
    make(&scene, START_MS + 300 * DAY_MS);
    assert_false(scene.made.authority_made);
    assert_int_equal(X509_cmp(board, scene.board), 0);
    make(&scene, START_MS + 310 * DAY_MS);
    assert_int_not_equal(X509_cmp(board, scene.board), 0);
    assert_int_equal(X509_cmp(authority, scene.authority), 0);
    assert_true(is_trusted(scene.board, authority, START_MS + 700 * DAY_MS));
    make(&scene, START_MS + 3300 * DAY_MS);
    assert_true(scene.made.authority_made);
    assert_int_not_equal(X509_cmp(authority, scene.authority), 0);
    assert_true(is_trusted(scene.board, scene.authority, START_MS + 3600 * DAY_MS));
    X509_free(authority);
    X509_free(board);
    close_scene(&scene);
}

/* A name under .local is within the authority's bounds; another name is not, and asks for a new authority. */
static void test_new_name(void **state)
{
    (void)state;
    struct scene scene;
    open_scene(&scene);
    X509 *authority = X509_dup(scene.authority);
    assert_true(names_add(&scene.names, "petrel.local"));
    make(&scene, START_MS);
    assert_false(scene.made.authority_made);
    assert_int_equal(X509_check_host(scene.board, "petrel.local", 0, 0, NULL), 1);
    assert_true(names_add(&scene.names, "elsewhere.test"));
    make(&scene, START_MS);
    assert_true(scene.made.authority_made);
    assert_true(is_trusted(scene.board, scene.authority, START_MS));
    assert_false(is_trusted(scene.board, authority, START_MS));
    X509_free(authority);
    close_scene(&scene);
}

/* Whatever names.h takes for a name can be certified, however odd. */
static void test_odd_names(void **state)
{
    (void)state;
    static const char *const odd[] = {"boat.",
                                      ".boat",
                                      "a..b",
                                      "-",
                                      "..",
                                      "1",
                                      "300.1.1.1",
                                      "8.8.8.8",
                                      "0.0.0.0",
                                      "1.2.3.4:443",
                                      "xn--",
                                      "BOAT.Test",
                                      "a.b.c.d.e.f.g.h.i.j.k",
                                      "abcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrst"};
    struct scene scene;
    open_scene(&scene);
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        assert_true(names_add(&scene.names, odd[i]));
        make(&scene, START_MS);
        assert_true(is_trusted(scene.board, scene.authority, START_MS));
        make(&scene, START_MS);
        assert_false(scene.made.authority_made);
    }
    close_scene(&scene);
}

static void test_trouble(void **state)
{
    (void)state;
    struct scene scene;
    struct certificate made;
    struct msg why = {""};
    char path[128];
    open_scene(&scene);
    /* A clock that is not set: what is there is used, and nothing made. */
    assert_int_equal(certificate_make(&made, scene.dir, &scene.names, 0, &why), ERR_NONE);
    assert_false(made.authority_made);
    (void)snprintf(path, sizeof path, "%s/tls-board.pem", scene.dir);
    assert_int_equal(certificate_own(&made, path, path, &why), ERR_NONE);
    assert_string_equal(made.authority, "");
    char other[128];
    (void)snprintf(other, sizeof other, "%s/tls-authority.pem", scene.dir);
    assert_int_equal(certificate_own(&made, path, other, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "belong together"));
    assert_int_equal(certificate_own(&made, "none.pem", other, &why), ERR_NO_INPUT);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs("no certificate\n", file) >= 0 && fclose(file) == 0);
    assert_int_equal(certificate_make(&made, scene.dir, &scene.names, START_MS, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "Move that file away"));
    assert_int_equal(unlink(path), 0);
    assert_int_equal(certificate_make(&made, scene.dir, &scene.names, 0, &why), ERR_UNAVAILABLE);
    assert_non_null(strstr(why.text, "clock"));
    make(&scene, START_MS);
    assert_false(scene.made.authority_made);
    close_scene(&scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_made),      cmocka_unit_test(test_renewed), cmocka_unit_test(test_new_name),
        cmocka_unit_test(test_odd_names), cmocka_unit_test(test_trouble),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
