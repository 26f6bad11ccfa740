package androidx.annotation;
public @interface RequiresApi { int value(); }
