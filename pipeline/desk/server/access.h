#pragma once
#include "overlay/base/result.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// What a request says of where it comes from. A header that is not there is empty; one that came twice has two values.
struct Asked {
    std::string method;               ///< "GET"
    std::string target;               ///< as sent: "/TOKEN/lesson?x=1"
    std::vector<std::string> host;    ///< values of Host
    std::vector<std::string> origin;  ///< of Origin
    std::vector<std::string> token;   ///< of Tabard-Token
    std::vector<std::string> content; ///< of Content-Type
    std::string site;                 ///< Sec-Fetch-Site: whose page asks
    std::string mode;                 ///< Sec-Fetch-Mode
    std::string goal;                 ///< Sec-Fetch-Dest
    bool coded = false;               ///< Transfer-Encoding or Content-Encoding: the body is not what it seems
};

/// Who may ask. A browser sends requests of any page to this machine, a name of somebody else's can be made to lead
/// here, and other users of the machine see the port: so the token is asked for, and who sent it.
class Access {
public:
    /// A new token of 128 bits from the system's random source. Fails with io where that gives none.
    static Result<Access> create();
    explicit Access(std::string token) : m_token(std::move(token)) {}

    /// Where the page is, which only who knows the token can ask for: "http://127.0.0.1:PORT/TOKEN/".
    std::string page(int port) const;
    bool allows(Asked const& asked, int port) const;
    /// What stands behind "/TOKEN/" in the path of an allowed request.
    std::string_view behind_token(std::string_view path) const;

private:
    std::string m_token; ///< 32 hexadecimal digits
};

} // namespace tabard::pipeline
