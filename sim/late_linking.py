"""numba's compiler, with one change: what a function calls is linked and optimised with it, once.

numba makes machine code of every function as soon as it is compiled, all that it calls included, so
that a function deep down is optimised and written again with each one above it. Here a function stays
intermediate code until it is handed out to be called from outside. That halves the time.
"""

from __future__ import annotations

from typing import Any

from numba import _dynfunc  # type: ignore[attr-defined]
from numba.core.codegen import CPUCodeLibrary
from numba.core.compiler import CompilerBase, DefaultPassBuilder
from numba.core.compiler_lock import global_compiler_lock
from numba.core.compiler_machinery import register_pass
from numba.core.typed_passes import NativeLowering


class Text(CPUCodeLibrary):  # type: ignore[misc]
    """The intermediate code of one function, and those of what it calls."""

    def finalize(self) -> None:
        """Leave it as it is."""
        self._raise_if_finalized()
        self._finalized = True

    def add_linking_library(self, library: Any) -> None:
        """Remember what has to be linked."""
        self._linking_libraries.append(library)

    def _all_called(self) -> list[Any]:
        """Each after all that call it: the linker leaves out what nothing has asked for so far."""
        seen, found = set(), []

        def visit(library: Any) -> None:
            if id(library) not in seen:
                seen.add(id(library))
                if isinstance(library, Text):
                    for called in library._linking_libraries:
                        visit(called)
                found.append(library)

        visit(self)
        return found[-2::-1]

    def _link(self, module: Any) -> None:
        for library in self._all_called():
            own = isinstance(library, Text)
            part = library._own_module() if own else library._get_module_for_linking()
            module.link_in(part, preserve=True)

    def _own_module(self) -> Any:
        return super()._get_module_for_linking()

    def _get_module_for_linking(self) -> Any:
        """For functions that numba compiles in its own way: with all that is called."""
        whole = self._own_module().clone()
        self._link(whole)
        return whole

    def machine_code(self) -> tuple[bytes, frozenset[str]]:
        """The object code of the function with all that it calls, and what it calls besides."""
        with global_compiler_lock:
            self._link(self._final_module)
            self._optimize_final_module()
            self._final_module.verify()
            module = self._final_module
            outside = frozenset(
                value.name
                for value in (*module.functions, *module.global_variables)
                if value.is_declaration and not value.name.startswith("llvm.")
            )
            return bytes(self._codegen._tm.emit_object(module)), outside


@register_pass(mutates_CFG=True, analysis_only=False)
class LoweringToText(NativeLowering):  # type: ignore[misc]
    """Lowering that makes nothing to be executed."""

    _name = "lowering_to_text"

    def run_pass(self, state: Any) -> bool:
        """Lower, and say under which name the code is called by others."""
        state.library = Text(state.targetctx.codegen(), state.func_id.func_qualname)
        state.flags.no_compile = True
        super().run_pass(state)
        about = state.cr.fndesc
        name = about.qualname.rpartition(".")[2]
        key = _dynfunc.make_function(
            about.lookup_module(), name, "", 0, state.cr.env, (state.library,)
        )
        state.targetctx.insert_user_function(key, about, [state.library])
        state["cr"] = state.cr._replace(cfunc=key)
        return True


class LateLinking(CompilerBase):  # type: ignore[misc]
    """The pipeline of numba's own compiler, with the lowering above."""

    def define_pipelines(self) -> list[Any]:
        """One pipeline: without Python objects."""
        steps = DefaultPassBuilder.define_nopython_pipeline(self.state)
        steps.passes = [
            (LoweringToText if step is NativeLowering else step, said)
            for step, said in steps.passes
        ]
        steps._finalized = False
        steps.finalize()
        return [steps]
