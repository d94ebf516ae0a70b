# build_flags is the one carrier of the language standard, warnings and sanitizers.
set(TABARD_SANITIZE "" CACHE STRING "Sanitizers for every target, e.g. address,undefined")

add_library(build_flags INTERFACE)
target_compile_features(build_flags INTERFACE cxx_std_20)
target_include_directories(build_flags INTERFACE ${PROJECT_SOURCE_DIR})
target_compile_options(build_flags INTERFACE -Wall -Wextra -Wpedantic -Wconversion -Wshadow)
# With -O3 GCC 12 warns falsely inside its own std::string and std::optional (its bug 105651 and others like it).
target_compile_options(build_flags INTERFACE
  $<$<AND:$<CXX_COMPILER_ID:GNU>,$<CONFIG:Release>>:-Wno-restrict$<SEMICOLON>-Wno-maybe-uninitialized>)
if(TABARD_SANITIZE)
  target_compile_options(build_flags INTERFACE -fsanitize=${TABARD_SANITIZE} -fno-omit-frame-pointer
    $<$<CONFIG:Debug>:-O1>
    # GCC 12 warns falsely inside std::regex when it instruments code (its manual says that sanitizers bring such warnings).
    -Wno-maybe-uninitialized)
  target_link_options(build_flags INTERFACE -fsanitize=${TABARD_SANITIZE})
endif()
set(CMAKE_CXX_EXTENSIONS OFF)

# A faster linker where there is one: the test programs are many.
find_program(TABARD_MOLD mold)
mark_as_advanced(TABARD_MOLD)
if(TABARD_MOLD)
  target_link_options(build_flags INTERFACE -fuse-ld=mold)
endif()
# What one checkout has compiled another takes over, wherever it lies; no precompiled headers, as they do not keep so.
find_program(TABARD_CCACHE ccache)
mark_as_advanced(TABARD_CCACHE)
if(TABARD_CCACHE AND NOT CMAKE_CXX_COMPILER_LAUNCHER)
  set(CMAKE_CXX_COMPILER_LAUNCHER ${CMAKE_COMMAND} -E env CCACHE_BASEDIR=${PROJECT_SOURCE_DIR} CCACHE_NOHASHDIR=1
    CCACHE_DEPEND=1 ${TABARD_CCACHE})
endif()

# One folder is one target:
#   add_module(pipeline::time SOURCES a.cpp HEADERS a.h PUBLIC tabard::base PRIVATE PkgConfig::AV)
# The target may call only what it links, so a call against the direction of the house fails to build.
function(add_module name)
  cmake_parse_arguments(MODULE "" "" "SOURCES;HEADERS;PUBLIC;PRIVATE" ${ARGN})
  string(REPLACE "::" "_" target ${name})
  add_library(${target} STATIC ${MODULE_SOURCES})
  add_library(${name} ALIAS ${target})
  target_sources(${target} PUBLIC FILE_SET HEADERS BASE_DIRS ${PROJECT_SOURCE_DIR} FILES ${MODULE_HEADERS})
  target_link_libraries(${target} PUBLIC build_flags ${MODULE_PUBLIC} PRIVATE ${MODULE_PRIVATE})
  set_target_properties(${target} PROPERTIES VERIFY_INTERFACE_HEADER_SETS ON)
endfunction()

# The test program of one module, in the folder of tests/ that mirrors it:
#   add_module_test(pipeline::time SOURCES timecode_test.cpp LIBRARIES rapidcheck)
# It links that module and tests/support only.
function(add_module_test name)
  cmake_parse_arguments(TEST "" "" "SOURCES;LIBRARIES" ${ARGN})
  string(REPLACE "::" "_" target test_${name})
  add_executable(${target} ${TEST_SOURCES})
  target_link_libraries(${target} PRIVATE ${name} ${TEST_LIBRARIES} tests_support GTest::gmock GTest::gtest_main)
  add_test(NAME ${name} COMMAND ${target} --gtest_brief=1)
endfunction()
