#include "certificate.h"

#include <arpa/inet.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <openssl/bio.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/rand.h>
#include <openssl/x509.h>
#include <openssl/x509v3.h>

#include "board/check.h"

#define AUTHORITY_FILE  "tls-authority.pem"
#define BOARD_FILE      "tls-board.pem"
#define AUTHORITY_DAYS  3650
#define BOARD_DAYS      397
#define RENEW_DAYS      90
#define SECONDS_A_DAY   86400
#define SERIAL_BYTES    16
#define EXTENSION_BYTES (1024 + NAMES_MAX * (NAMES_HOST_LEN + 32))

/* A key and what is certified of it; both NULL: there is none. */
struct pair {
    EVP_PKEY *key;
    X509 *certificate;
};

static void pair_release(struct pair *pair)
{
    EVP_PKEY_free(pair->key);
    X509_free(pair->certificate);
    *pair = (struct pair){NULL, NULL};
}

/* ---- files --------------------------------------------------------------------------------------------------------- */

static enum err no_pem(const char *path, const char *what, struct msg *why)
{
    bool missing = access(path, R_OK) != 0;
    return err_set(why, missing ? ERR_NO_INPUT : ERR_DATA, "There is no %s in %s (%s).", what, path,
                   missing ? strerror(errno) : "not PEM, or of another kind");
}

static X509 *read_certificate(const char *path)
{
    BIO *file = BIO_new_file(path, "r");
    X509 *certificate = file ? PEM_read_bio_X509(file, NULL, NULL, NULL) : NULL;
    BIO_free(file);
    return certificate;
}

/* A key behind a passphrase is none: nobody is there to type it. */
static int no_passphrase(char *buf, int size, int writing, void *context)
{
    (void)writing, (void)context;
    if (size > 0)
        buf[0] = '\0';
    return -1;
}

static EVP_PKEY *read_key(const char *path)
{
    BIO *file = BIO_new_file(path, "r");
    EVP_PKEY *key = file ? PEM_read_bio_PrivateKey(file, NULL, no_passphrase, NULL) : NULL;
    BIO_free(file);
    return key;
}

static enum err read_pair(struct pair *pair, const char *chain, const char *key, struct msg *why)
{
    *pair = (struct pair){.key = read_key(key), .certificate = read_certificate(chain)};
    enum err err = ERR_NONE;
    if (!pair->certificate)
        err = no_pem(chain, "certificate", why);
    else if (!pair->key)
        err = no_pem(key, "private key without a passphrase", why);
    else if (X509_check_private_key(pair->certificate, pair->key) != 1)
        err = err_set(why, ERR_DATA, "The certificate in %s and the key in %s don't belong together.", chain, key);
    if (err)
        pair_release(pair);
    return err;
}

static enum err write_pair(const struct pair *pair, const char *path, struct msg *why)
{
    char *text = NULL;
    BIO *memory = BIO_new(BIO_s_mem());
    CHECK(memory && PEM_write_bio_PrivateKey(memory, pair->key, NULL, NULL, 0, NULL, NULL) == 1);
    CHECK(PEM_write_bio_X509(memory, pair->certificate) == 1);
    long len = BIO_get_mem_data(memory, &text);
    enum err err = folder_write(path, text, (size_t)len, why);
    BIO_free(memory);
    return err;
}

/* ---- what is to be certified --------------------------------------------------------------------------------------- */

/* Private, shared, link-local and loopback addresses (RFC 1918, 6598, 3927, 4193, 4291): what the authority may speak for, beside an
 * IPv4 address of another sort that this machine has. */
#define PERMITTED_ADDRESSES                                                                                      \
    "permitted;IP:10.0.0.0/255.0.0.0,permitted;IP:172.16.0.0/255.240.0.0,permitted;IP:192.168.0.0/255.255.0.0,"  \
    "permitted;IP:100.64.0.0/255.192.0.0,permitted;IP:169.254.0.0/255.255.0.0,permitted;IP:127.0.0.0/255.0.0.0," \
    "permitted;IP:::1/ffff:ffff:ffff:ffff:ffff:ffff:ffff:ffff,permitted;IP:fe80::/ffc0::,permitted;IP:fc00::/fe00::"

static bool is_private_v4(const char *address)
{
    struct in_addr v4;
    CHECK(inet_pton(AF_INET, address, &v4) == 1);
    uint32_t number = ntohl(v4.s_addr);
    uint32_t top = number >> 24;
    return top == 10 || top == 127 || number >> 20 == 0xac1 || number >> 16 == 0xc0a8 || number >> 22 == 0x191 ||
           number >> 16 == 0xa9fe;
}

static bool is_private_v6(const char *address)
{
    struct in6_addr v6;
    CHECK(inet_pton(AF_INET6, address, &v6) == 1);
    return IN6_IS_ADDR_LOOPBACK(&v6) || IN6_IS_ADDR_LINKLOCAL(&v6) || (v6.s6_addr[0] & 0xfe) == 0xfc;
}

enum host_sort { HOST_NAME, HOST_PRIVATE, HOST_OTHER_V4, HOST_OTHER_V6 };

/* A host without its port, and what it is. An IPv6 address that is not private is certified by nobody here: it changes by the day
 * (RFC 8981), and no phone joins by it. */
static enum host_sort read_host(const char *host, char bare[NAMES_HOST_LEN])
{
    bool v6 = host[0] == '[';
    size_t len = v6 ? strcspn(host + 1, "]") : strcspn(host, ":");
    (void)snprintf(bare, NAMES_HOST_LEN, "%.*s", (int)len, v6 ? host + 1 : host);
    struct in_addr v4;
    if (v6)
        return is_private_v6(bare) ? HOST_PRIVATE : HOST_OTHER_V6;
    if (inet_pton(AF_INET, bare, &v4) != 1)
        return HOST_NAME;
    return is_private_v4(bare) ? HOST_PRIVATE : HOST_OTHER_V4;
}

/* What the board's certificate stands for, as the configuration of an extension has it: "DNS:boat.local,IP:10.1.2.3". */
static void print_alternatives(const struct names *names, char out[EXTENSION_BYTES])
{
    char bare[NAMES_HOST_LEN], *at = out, *end = out + EXTENSION_BYTES;
    for (int32_t i = 0; i < names->count; i++) {
        enum host_sort sort = read_host(names->host[i], bare);
        if (sort != HOST_OTHER_V6)
            at += snprintf(at, (size_t)(end - at), "%s%s:%s", at > out ? "," : "", sort == HOST_NAME ? "DNS" : "IP",
                           bare);
        CHECK(at < end);
    }
}

/* What its authority may sign. */
static void print_bounds(const struct names *names, char out[EXTENSION_BYTES])
{
    char bare[NAMES_HOST_LEN], *at = out, *end = out + EXTENSION_BYTES;
    at += snprintf(at, EXTENSION_BYTES, "critical,permitted;DNS:local,%s", PERMITTED_ADDRESSES);
    for (int32_t i = 0; i < names->count; i++) {
        enum host_sort sort = read_host(names->host[i], bare);
        if (sort == HOST_NAME)
            at += snprintf(at, (size_t)(end - at), ",permitted;DNS:%s", bare);
        else if (sort == HOST_OTHER_V4)
            at += snprintf(at, (size_t)(end - at), ",permitted;IP:%s/255.255.255.255", bare);
        CHECK(at < end);
    }
}

/* Does the certificate stand for each of them? */
static bool covers_all(X509 *certificate, const struct names *names)
{
    for (int32_t i = 0; i < names->count; i++) {
        char bare[NAMES_HOST_LEN];
        enum host_sort sort = read_host(names->host[i], bare);
        if (sort == HOST_NAME ? X509_check_host(certificate, bare, 0, 0, NULL) != 1
                              : sort != HOST_OTHER_V6 && X509_check_ip_asc(certificate, bare, 0) != 1)
            return false;
    }
    return true;
}

static bool is_good_for(X509 *certificate, int64_t utc_ms, int days)
{
    time_t then = (time_t)(utc_ms / 1000) + (time_t)days * SECONDS_A_DAY;
    time_t now = (time_t)(utc_ms / 1000);
    return X509_cmp_time(X509_get0_notAfter(certificate), &then) > 0 &&
           X509_cmp_time(X509_get0_notBefore(certificate), &now) < 0;
}

/* Would a client that trusts the authority take the certificate, its bounds of names included (RFC 5280, 6)? */
static bool is_trusted(X509 *certificate, X509 *authority, int64_t utc_ms)
{
    X509_STORE *store = X509_STORE_new();
    X509_STORE_CTX *context = X509_STORE_CTX_new();
    CHECK(store && context && X509_STORE_add_cert(store, authority) == 1);
    CHECK(X509_STORE_CTX_init(context, store, certificate, NULL) == 1);
    X509_VERIFY_PARAM *how = X509_STORE_CTX_get0_param(context);
    X509_VERIFY_PARAM_set_time(how, (time_t)(utc_ms / 1000));
    CHECK(X509_VERIFY_PARAM_set_purpose(how, X509_PURPOSE_SSL_SERVER) == 1);
    bool trusted = X509_verify_cert(context) == 1;
    X509_STORE_CTX_free(context);
    X509_STORE_free(store);
    return trusted;
}

/* ---- making -------------------------------------------------------------------------------------------------------- */

static void extend(X509 *certificate, X509 *issuer, int nid, const char *value)
{
    X509V3_CTX context;
    X509V3_set_ctx(&context, issuer, certificate, NULL, NULL, 0);
    X509_EXTENSION *extension = X509V3_EXT_conf_nid(NULL, &context, nid, value);
    CHECK(extension && X509_add_ext(certificate, extension, -1) == 1);
    X509_EXTENSION_free(extension);
}

/* A new key and what can be said of any certificate: a random serial number, from yesterday on (a phone's clock may be behind), so
 * many days. */
static struct pair begin(const char *name, int64_t utc_ms, int days)
{
    unsigned char random[SERIAL_BYTES];
    struct pair pair = {.key = EVP_EC_gen("P-256"), .certificate = X509_new()};
    CHECK(pair.key && pair.certificate && RAND_bytes(random, sizeof random) == 1);
    random[0] = (random[0] & 0x7f) | 0x40;
    BIGNUM *serial = BN_bin2bn(random, sizeof random, NULL);
    CHECK(serial && BN_to_ASN1_INTEGER(serial, X509_get_serialNumber(pair.certificate)));
    BN_free(serial);
    time_t now = (time_t)(utc_ms / 1000);
    CHECK(X509_set_version(pair.certificate, X509_VERSION_3) == 1 && X509_set_pubkey(pair.certificate, pair.key) == 1);
    CHECK(ASN1_TIME_adj(X509_getm_notBefore(pair.certificate), now, -1, 0));
    CHECK(ASN1_TIME_adj(X509_getm_notAfter(pair.certificate), now, days, 0));
    CHECK(X509_NAME_add_entry_by_txt(X509_get_subject_name(pair.certificate), "CN", MBSTRING_ASC,
                                     (const unsigned char *)name, -1, -1, 0) == 1);
    return pair;
}

static void finish(struct pair *pair, const struct pair *issuer)
{
    CHECK(X509_set_issuer_name(pair->certificate, X509_get_subject_name(issuer->certificate)) == 1);
    CHECK(X509_sign(pair->certificate, issuer->key, EVP_sha256()) > 0);
}

static struct pair make_authority(const struct names *names, int64_t utc_ms)
{
    char name[64], bounds[EXTENSION_BYTES];
    unsigned char random[4];
    CHECK(RAND_bytes(random, sizeof random) == 1);
    (void)snprintf(name, sizeof name, "sternboard %02X%02X%02X%02X, this boat's own authority", random[0], random[1],
                   random[2], random[3]);
    struct pair pair = begin(name, utc_ms, AUTHORITY_DAYS);
    print_bounds(names, bounds);
    extend(pair.certificate, pair.certificate, NID_basic_constraints, "critical,CA:TRUE,pathlen:0");
    extend(pair.certificate, pair.certificate, NID_key_usage, "critical,keyCertSign,cRLSign");
    extend(pair.certificate, pair.certificate, NID_subject_key_identifier, "hash");
    extend(pair.certificate, pair.certificate, NID_name_constraints, bounds);
    finish(&pair, &pair);
    return pair;
}

static struct pair make_board(const struct names *names, const struct pair *authority, int64_t utc_ms)
{
    char alternatives[EXTENSION_BYTES] = "";
    struct pair pair = begin("sternboard", utc_ms, BOARD_DAYS);
    print_alternatives(names, alternatives);
    extend(pair.certificate, authority->certificate, NID_basic_constraints, "critical,CA:FALSE");
    extend(pair.certificate, authority->certificate, NID_key_usage, "critical,digitalSignature");
    extend(pair.certificate, authority->certificate, NID_ext_key_usage, "serverAuth");
    extend(pair.certificate, authority->certificate, NID_subject_key_identifier, "hash");
    extend(pair.certificate, authority->certificate, NID_authority_key_identifier, "keyid");
    extend(pair.certificate, authority->certificate, NID_subject_alt_name, alternatives);
    finish(&pair, authority);
    return pair;
}

/* ---- the two ways in ----------------------------------------------------------------------------------------------- */

/* A pair of the data folder; none when there is no file yet. */
static enum err find_pair(struct pair *pair, const char *path, struct msg *why)
{
    *pair = (struct pair){NULL, NULL};
    if (access(path, F_OK) != 0 && errno == ENOENT)
        return ERR_NONE;
    struct msg what;
    enum err err = read_pair(pair, path, path, &what);
    if (err)
        return err_set(why, err, "%.400s Move that file away and start again: a new one is made.", what.text);
    return ERR_NONE;
}

/* A certificate of this authority, or NULL in both when it must not sign these names or has not long enough to live. */
static struct pair sign(const struct pair *authority, const struct names *names, int64_t utc_ms)
{
    struct pair board = {NULL, NULL};
    if (!authority->key || !is_good_for(authority->certificate, utc_ms, BOARD_DAYS))
        return board;
    board = make_board(names, authority, utc_ms);
    if (!is_trusted(board.certificate, authority->certificate, utc_ms))
        pair_release(&board);
    return board;
}

/* New ones where they are needed, written before anybody is shown them: the authority first. */
static enum err renew(struct certificate *made, struct pair *authority, struct pair *board, const char *path,
                      const struct names *names, int64_t utc_ms, struct msg *why)
{
    enum err err = ERR_NONE;
    pair_release(board);
    *board = sign(authority, names, utc_ms);
    if (!board->key) {
        pair_release(authority);
        *authority = make_authority(names, utc_ms);
        *board = sign(authority, names, utc_ms);
        CHECK(board->key);
        made->authority_made = true;
        err = write_pair(authority, path, why);
    }
    return err ? err : write_pair(board, made->chain, why);
}

static void tell_authority(struct certificate *made, X509 *authority)
{
    unsigned char hash[EVP_MAX_MD_SIZE];
    unsigned int len = 0;
    BIO *memory = BIO_new(BIO_s_mem());
    CHECK(memory && PEM_write_bio_X509(memory, authority) == 1);
    int read = BIO_read(memory, made->authority, sizeof made->authority - 1);
    CHECK(read > 0);
    made->authority[read] = '\0';
    BIO_free(memory);
    CHECK(X509_digest(authority, EVP_sha256(), hash, &len) == 1);
    for (unsigned int i = 0; i < len; i++)
        (void)snprintf(made->fingerprint + 3 * i, 4, "%02X%s", hash[i], i + 1 < len ? ":" : "");
}

enum err certificate_make(struct certificate *made, const char *dir, const struct names *names, int64_t utc_ms,
                          struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    struct pair authority = {NULL, NULL}, board = {NULL, NULL};
    memset(made, 0, sizeof *made);
    enum err err = folder_path(dir, AUTHORITY_FILE, path, why);
    if (!err)
        err = folder_path(dir, BOARD_FILE, made->chain, why);
    memcpy(made->key, made->chain, sizeof made->key);
    if (!err)
        err = find_pair(&authority, path, why);
    if (!err)
        err = find_pair(&board, made->chain, why);
    bool there = !err && authority.key && board.key;
    bool good = there && is_good_for(board.certificate, utc_ms, RENEW_DAYS) && covers_all(board.certificate, names) &&
                is_trusted(board.certificate, authority.certificate, utc_ms);
    if (!err && !there && utc_ms == 0)
        err = err_set(why, ERR_UNAVAILABLE,
                      "The clock of this machine is not set, and a certificate made now would be no good: set it, then "
                      "start again.");
    if (!err && !good && utc_ms != 0)
        err = renew(made, &authority, &board, path, names, utc_ms, why);
    if (!err)
        tell_authority(made, authority.certificate);
    pair_release(&authority);
    pair_release(&board);
    return err;
}

enum err certificate_own(struct certificate *own, const char *chain, const char *key, struct msg *why)
{
    struct pair pair;
    memset(own, 0, sizeof *own);
    if (strlen(chain) >= sizeof own->chain || strlen(key) >= sizeof own->key)
        return err_set(why, ERR_NO_INPUT, "The name of the certificate or of its key is too long.");
    memcpy(own->chain, chain, strlen(chain) + 1);
    memcpy(own->key, key, strlen(key) + 1);
    enum err err = read_pair(&pair, chain, key, why);
    if (!err)
        pair_release(&pair);
    return err;
}
