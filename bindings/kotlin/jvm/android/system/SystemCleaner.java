package android.system;
import java.lang.ref.Cleaner;
public final class SystemCleaner {
    private static final Cleaner CLEANER = Cleaner.create();
    public static Cleaner cleaner() { return CLEANER; }
}
