namespace RenderGraph.Cli.Batch;

/// <summary>What a whole class can have in common: each kind of <see cref="SongAdvice"/> in words, and what to try. The order is that of a sheet: what is heard most comes first.</summary>
internal static class AdviceKinds
{
    public const string Masking = "masking", Cancelling = "cancelling", NoAnchor = "noAnchor", UnsureFrequency = "unsureFrequency", Layer = "layer.", Check = "check.", Gate = "gate", Verdict = "verdict";

    private static readonly (string Kind, string Title, string Try)[] All =
    [
        (NoAnchor, "Nobody owns the low end", "Decide which part does, and name it as the anchor."),
        (UnsureFrequency, "The anchor's hits do not agree on a note", "Listen to it alone; a part that changes its notes has no single frequency."),
        (Masking, "A part covers the anchor while it hits", "Cut the part at the anchor's frequency, only while the anchor hits; high-pass what has no low note of its own."),
        (Cancelling, "A part and the anchor cancel each other", "Turn the part over or shift it, and compare at the same level."),
        ("layer.polarity", "A layer is upside down against the one beside it", "Turn it over."),
        ("layer.delay", "A layer is not in time with the one beside it", "Shift it."),
        ("layer.mute", "A layer adds nothing", "Leave it out, and listen whether anything is missed."),
        ("layer.highPass", "A layer needs none of its lows", "High-pass it."),
        ("check.sidesCancel", "The two sides of a part cancel in the lows", "Turn one side over, or make the lows mono."),
        ("check.subsonic", "A part rumbles below 20 Hz", "High-pass it at 20 to 30 Hz."),
        ("check.clipped", "A part is clipped", "Record or export it softer."),
        ("check.dc", "A part has a constant offset", "High-pass it at 20 Hz."),
        ("check.silent", "A part is silent", "Leave it out, or export it again."),
        ("check.duplicate", "The same part is there twice", "Leave one of them out."),
        ("check.length", "A part is shorter or longer than the others", "Export all parts over the same range."),
        ("check.start", "A part may not begin where it was recorded", "Line the parts up by their time references."),
        ("check.alreadyDucked", "A part makes room at the hits already", "Nothing, if it sounds right: two cuts on top of each other are one too many."),
        (Verdict, "The treatment did not help, or cost too much", "Look at what stands in the way before cutting more; a clean low end needs none."),
        (Gate, "A gate of the recipe does not hold", "See the song's own sheet for the value, the limit and the place."),
    ];

    /// <summary>In words; a kind that is not in the list stands for itself.</summary>
    public static string Title(string kind) => All.FirstOrDefault(known => known.Kind == kind).Title ?? kind;

    /// <summary>What to try, for everybody who has it.</summary>
    public static string Try(string kind) => All.FirstOrDefault(known => known.Kind == kind).Try ?? "See the songs' own sheets.";

    /// <summary>Place in the order.</summary>
    public static int Order(string kind) => Array.FindIndex(All, known => known.Kind == kind) is var place and >= 0 ? place : All.Length;
}
