package android.os;
public final class Build {
    public static final class VERSION { public static final int SDK_INT = Integer.parseInt("34"); }
    public static final class VERSION_CODES { public static final int UPSIDE_DOWN_CAKE = 34; }
}
