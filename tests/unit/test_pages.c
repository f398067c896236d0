/* Pages out of memory: which file an address means, in which form, and how long it may be kept. The files are tests/net/pages. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

#include "embed.h"
#include "net/pages.h"

static struct reply get(const char *path, const char *accept_encoding, const char *if_none_match)
{
    struct reply reply;
    struct request request = {.get = true,
                              .path = path,
                              .host = "localhost:8470",
                              .accept_encoding = accept_encoding,
                              .if_none_match = if_none_match,
                              .authorization = ""};
    pages_answer(&request, &reply);
    return reply;
}

static void test_views(void **state)
{
    (void)state;
    static const char *const views[] = {"/", "/helm", "/station", "/phone", "/debrief", "/guest", "/index.html"};
    for (size_t i = 0; i < sizeof views / sizeof views[0]; i++) {
        struct reply reply = get(views[i], "", "");
        assert_int_equal(reply.status, 200);
        assert_string_equal(reply.type, "text/html; charset=utf-8");
        assert_string_equal(reply.cache, "no-cache");
        assert_false(reply.gzip);
        assert_memory_equal(reply.body, "<!doctype html>", 15);
    }
}

static void test_assets(void **state)
{
    (void)state;
    struct reply reply = get("/a/app-0123ABCD.js", "gzip, deflate", "");
    const struct embed_file *file = embed_find("/a/app-0123ABCD.js");
    assert_int_equal(reply.status, 200);
    assert_string_equal(reply.type, "text/javascript; charset=utf-8");
    assert_string_equal(reply.cache, "public, max-age=31536000, immutable");
    assert_true(reply.gzip);
    assert_int_equal(reply.len, file->gzip_len);
    assert_memory_equal(reply.body, "\x1f\x8b\x08", 3); /* RFC 1952, 2.3.1: gzip, deflate */
    assert_string_not_equal(reply.etag, get("/a/app-0123ABCD.js", "", "").etag);
}

static void test_missing(void **state)
{
    (void)state;
    static const char *const paths[] = {"/nothing",  "/helm/", "/Helm", "/a/", "/a", "", "/a/app-0123ABCD.js2",
                                        "index.html"};
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        struct reply reply = get(paths[i], "gzip", "");
        assert_int_equal(reply.status, 404);
        assert_string_equal(reply.cache, "no-store");
        assert_int_equal(reply.len, strlen(reply.body));
    }
}

static void test_unchanged(void **state)
{
    (void)state;
    struct reply plain = get("/helm", "", ""), packed = get("/helm", "gzip", "");
    assert_int_equal(get("/helm", "", plain.etag).status, 304);
    assert_int_equal(get("/helm", "gzip", packed.etag).status, 304);
    assert_int_equal(get("/helm", "gzip", plain.etag).status,
                     200); /* the other form is another thing: RFC 9110, 8.8.1 */
    char list[128] = "\"0000000000000000\", W/";
    strncat(list, packed.etag, sizeof list - strlen(list) - 1);
    struct reply reply = get("/helm", "gzip", list);
    assert_int_equal(reply.status, 304);
    assert_int_equal(reply.len, 0);
    assert_string_equal(reply.etag, packed.etag);
}

/* RFC 9110, 12.5.3 and 12.4.2. */
static void test_encodings(void **state)
{
    (void)state;
    static const char *const yes[] = {
        "gzip", "deflate, gzip", "GZIP",         "gzip;q=0.5", "br;q=1.0, gzip;q=0.8, *;q=0.1",
        "*",    "gzip ; q=1",    "identity,gzip"};
    static const char *const no[] = {"",      "br",         "gzip;q=0", "gzip; q=0.000", "gzipped", "x-gzip, identity",
                                     "*;q=0", "deflate;q=1"};
    for (size_t i = 0; i < sizeof yes / sizeof yes[0]; i++)
        assert_true(pages_takes_gzip(yes[i]));
    for (size_t i = 0; i < sizeof no / sizeof no[0]; i++)
        assert_false(pages_takes_gzip(no[i]));
}

static void test_policy(void **state)
{
    (void)state;
    char policy[512];
    assert_true(reply_policy(policy, sizeof policy, "boat.local:8470", false));
    assert_string_equal(policy, "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
                                "font-src 'self'; media-src 'self' data:; connect-src 'self' ws://boat.local:8470; "
                                "base-uri 'none'; form-action 'none'; frame-ancestors 'none'");
    assert_true(reply_policy(policy, sizeof policy, NULL, false));
    assert_string_equal(policy, "default-src 'none'; frame-ancestors 'none'");
    assert_false(reply_policy(policy, 40, NULL, false));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_views),     cmocka_unit_test(test_assets),    cmocka_unit_test(test_missing),
        cmocka_unit_test(test_unchanged), cmocka_unit_test(test_encodings), cmocka_unit_test(test_policy),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
