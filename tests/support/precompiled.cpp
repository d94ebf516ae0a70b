// Nothing but the precompiled header lives here.
