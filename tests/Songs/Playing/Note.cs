namespace RenderGraph.Songs.Playing;

/// <summary>One note: when, how long, how high, how hard (1 is full).</summary>
internal readonly record struct Note(double Seconds, double LengthSeconds, double PitchHz, double Strength);
