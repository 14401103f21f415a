"""Reads 3MF files by lib3mf, the 3MF Consortium's own implementation, in its strict mode, and holds that there are no warnings and
that every mesh is closed and oriented.

usage: check_3mf.py FILE... ; prints one line for each file: items, meshes, triangles
"""
import ctypes, glob, sys

lib = ctypes.CDLL(sorted(glob.glob("/usr/lib/*/lib3MF.so.1*"))[0])
V = ctypes.c_void_p
bad = 0


def call(name, *args):
    r = getattr(lib, name)(*args)
    if r != 0:
        raise SystemExit("%s: %s gives %08x" % (f, name, r & 0xFFFFFFFF))


def count(name, handle):
    n = ctypes.c_uint32()
    call(name, handle, ctypes.byref(n))
    return n.value


def walk(kind, it):
    more = ctypes.c_int()
    while True:
        call(kind + "_movenext", it, ctypes.byref(more))
        if not more.value:
            return
        one = V()
        call(kind + "_getcurrent", it, ctypes.byref(one))
        yield one


for f in sys.argv[1:]:
    model, reader, items, meshes = V(), V(), V(), V()
    call("lib3mf_createmodel", ctypes.byref(model), 1)
    call("lib3mf_model_queryreader", model, b"3mf", ctypes.byref(reader))
    call("lib3mf_reader_setstrictmodeactive", reader, ctypes.c_int(1))
    call("lib3mf_reader_readfromfileutf8", reader, f.encode())
    warnings = count("lib3mf_reader_getwarningcount", reader)
    call("lib3mf_model_getbuilditems", model, ctypes.byref(items))
    n = len(list(walk("lib3mf_builditemiterator", items)))
    call("lib3mf_model_getmeshobjects", model, ctypes.byref(meshes))
    triangles = shut = all_meshes = 0
    for m in walk("lib3mf_resourceiterator", meshes):
        ok = ctypes.c_int()
        call("lib3mf_meshobject_ismanifoldandoriented", m, ctypes.byref(ok))
        triangles += count("lib3mf_meshobject_gettrianglecount", m)
        all_meshes += 1
        shut += ok.value != 0
    if warnings or shut != all_meshes or n < all_meshes or not n:
        print("%s: %d warnings, %d of %d meshes closed, %d items" % (f, warnings, shut, all_meshes, n))
        bad += 1
print("%d files read, %d faults" % (len(sys.argv) - 1, bad))
sys.exit(1 if bad else 0)
