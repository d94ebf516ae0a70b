# Writes OUTPUT, a C++ source with the page's files (pipeline/desk/page_files.h):
#   cmake -DOUTPUT=page_files.cpp -DHTML=index.html -DCSS=desk.css -DJS=desk.js -P EmbedPage.cmake
function(page_file name type path)
  file(READ "${path}" text)
  if(text MATCHES "\\)tabard_page\"")
    message(FATAL_ERROR "${path} holds what ends the string that it is written into")
  endif()
  file(APPEND "${OUTPUT}.new" "    {\"${name}\", \"${type}; charset=utf-8\", R\"tabard_page(${text})tabard_page\"},\n")
endfunction()

file(WRITE "${OUTPUT}.new" "#include \"pipeline/desk/server/page_files.h\"\n\n#include <array>\n\n"
  "namespace tabard::pipeline {\n\nstd::span<PageFile const> page_files()\n{\n"
  "  static constexpr std::array<PageFile, 3> kFiles{{\n")
page_file("" text/html "${HTML}")
page_file(desk.css text/css "${CSS}")
page_file(desk.js text/javascript "${JS}")
file(APPEND "${OUTPUT}.new" "  }};\n  return kFiles;\n}\n\n} // namespace tabard::pipeline\n")
file(RENAME "${OUTPUT}.new" "${OUTPUT}")
