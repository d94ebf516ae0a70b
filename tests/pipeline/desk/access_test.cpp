#include "pipeline/desk/server/access.h"

#include <set>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr int kPort = 43210;
std::string const kToken = "00112233445566778899aabbccddeeff";

Asked page_asks()
{
    Asked asked;
    asked.method = "GET";
    asked.target = "/" + kToken + "/lesson?from=1";
    asked.host = {"127.0.0.1:43210"};
    asked.site = "same-origin";
    return asked;
}

Asked page_saves()
{
    Asked asked = page_asks();
    asked.method = "POST";
    asked.target = "/" + kToken + "/edit";
    asked.origin = {"http://127.0.0.1:43210"};
    asked.token = {kToken};
    asked.content = {"application/json"};
    return asked;
}

bool allowed(Asked const& asked) { return Access{kToken}.allows(asked, kPort); }

TEST(AccessToTheDesk, IsForItsOwnPage)
{
    EXPECT_TRUE(allowed(page_asks()));
    EXPECT_TRUE(allowed(page_saves()));
    for (std::string const host : {"localhost:43210", "[::1]:43210"}) {
        Asked asked = page_saves();
        asked.host = {host};
        asked.origin = {"http://" + host};
        EXPECT_TRUE(allowed(asked)) << host;
    }
    Asked plain = page_saves();
    plain.site.clear(); // a browser that does not say it
    plain.origin.clear();
    plain.content = {"Application/JSON ; charset=utf-8"};
    EXPECT_TRUE(allowed(plain));
}

TEST(AccessToTheDesk, IsRefusedWithoutTheWholeTokenInThePath)
{
    for (std::string const& target :
         {std::string{}, std::string{"/"}, std::string{"/lesson"}, "/" + kToken, kToken + "/lesson",
          "/" + kToken.substr(0, 31) + "/lesson", "/" + kToken + "0/lesson", "/" + kToken.substr(0, 31) + "0/lesson",
          "//" + kToken + "/lesson", "/x/../" + kToken + "/lesson", "/%30" + kToken.substr(1) + "/lesson",
          "http://127.0.0.1:43210/" + kToken + "/lesson", "/" + kToken + "/" + std::string(3000, 'a')}) {
        Asked asked = page_asks();
        asked.target = target;
        EXPECT_FALSE(allowed(asked)) << target;
    }
}

TEST(AccessToTheDesk, IsRefusedUnderAnotherName)
{
    // A name that leads to this machine, as in name rebinding, is not this server's.
    for (std::vector<std::string> const& host : {std::vector<std::string>{},
                                                 {""},
                                                 {"evil.example:43210"},
                                                 {"127.0.0.1"},
                                                 {"127.0.0.1:80"},
                                                 {"127.0.0.2:43210"},
                                                 {"localhost.:43210"},
                                                 {"0.0.0.0:43210"},
                                                 {"127.0.0.1:43210", "evil.example"},
                                                 {"127.0.0.1:43210 "}}) {
        Asked asked = page_asks();
        asked.host = host;
        EXPECT_FALSE(allowed(asked)) << (host.empty() ? "none" : host.front());
    }
}

TEST(AccessToTheDesk, IsRefusedToPagesFromElsewhere)
{
    for (std::vector<std::string> const& origin : {std::vector<std::string>{"null"},
                                                   {"http://evil.example"},
                                                   {"https://127.0.0.1:43210"},
                                                   {"http://127.0.0.1"},
                                                   {"http://localhost:43210"},
                                                   {"http://127.0.0.1:43210", "http://127.0.0.1:43210"},
                                                   {""}}) {
        Asked asked = page_saves();
        asked.origin = origin;
        EXPECT_FALSE(allowed(asked)) << origin.front();
    }
    for (char const* const site : {"cross-site", "same-site", "anything"}) {
        Asked asked = page_asks();
        asked.site = site;
        EXPECT_FALSE(allowed(asked)) << site;
    }
}

TEST(AccessToTheDesk, AllowsThePageItselfFromALinkButInNoFrame)
{
    Asked asked = page_asks();
    asked.target = "/" + kToken + "/";
    asked.site = "cross-site"; // the file that leads there
    asked.mode = "navigate";
    asked.goal = "document";
    EXPECT_TRUE(allowed(asked));
    asked.goal = "iframe";
    EXPECT_FALSE(allowed(asked));
    asked.goal = "document";
    asked.target = "/" + kToken + "/lesson";
    EXPECT_FALSE(allowed(asked));
    asked.target = "/" + kToken + "/";
    asked.mode = "no-cors";
    EXPECT_FALSE(allowed(asked));
}

TEST(AccessToTheDesk, WritesOnlyWithTheTokenInAHeaderAndJson)
{
    for (std::vector<std::string> const& token :
         {std::vector<std::string>{}, {""}, {kToken.substr(1)}, {kToken + "0"}, {kToken, kToken}}) {
        Asked asked = page_saves();
        asked.token = token;
        EXPECT_FALSE(allowed(asked)) << token.size();
    }
    // What a form of another page can send without being asked.
    for (std::vector<std::string> const& content : {std::vector<std::string>{},
                                                    {"text/plain"},
                                                    {"application/x-www-form-urlencoded"},
                                                    {"multipart/form-data"},
                                                    {"application/jsonp"},
                                                    {"application/json", "text/plain"}}) {
        Asked asked = page_saves();
        asked.content = content;
        EXPECT_FALSE(allowed(asked)) << content.size();
    }
    for (char const* const method : {"PUT", "DELETE", "OPTIONS", "PATCH", "CONNECT", "TRACE", "get", ""}) {
        Asked asked = page_saves();
        asked.method = method;
        EXPECT_FALSE(allowed(asked)) << method;
    }
    Asked coded = page_saves();
    coded.coded = true;
    EXPECT_FALSE(allowed(coded));
}

TEST(AccessToTheDesk, HasATokenThatIsNeverTheSame)
{
    std::set<std::string> pages;
    for (int i = 0; i < 100; ++i)
        pages.insert(Access::create()->page(kPort));
    EXPECT_EQ(pages.size(), 100u);
    // 128 bits are 32 hexadecimal digits.
    EXPECT_EQ(pages.begin()->size(), std::string("http://127.0.0.1:43210//").size() + 32);
}

} // namespace
} // namespace tabard::pipeline
