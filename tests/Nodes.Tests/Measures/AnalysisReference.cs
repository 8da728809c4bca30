using System.Text.Json;

namespace RenderGraph.Nodes.Tests.Measures;

/// <summary>tests/Reference/analysis.json: recipes of kicks and basses with the truth about them, and notes after ISO 16; it names its sources.</summary>
public static class AnalysisReference
{
    private static readonly JsonDocument File = JsonDocument.Parse(System.IO.File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", "analysis.json")));

    /// <summary>Frequencies of notes by their MIDI number: equal temperament, A4 = 440 Hz.</summary>
    public static IReadOnlyDictionary<int, double> NotesHz { get; } = File.RootElement.GetProperty("midi_table").EnumerateObject()
        .ToDictionary(note => int.Parse(note.Name, System.Globalization.CultureInfo.InvariantCulture), note => note.Value.GetDouble());

    /// <summary>All kicks.</summary>
    public static IReadOnlyList<KickRecipe> Kicks { get; } = [.. File.RootElement.GetProperty("kicks").EnumerateArray().Select(Read)];

    private static KickRecipe Read(JsonElement kick)
    {
        return new(
            kick.GetProperty("id").GetString()!, Number("f_hi"), Number("f_lo"), Number("tau_f"), Number("tau_a"), Number("length_s"), Number("attack_s"), Number("amp"),
            Numbers("hit_times_s"), Numbers("vel"), Number("steady_freq_hz"), kick.GetProperty("total_samples").GetInt32() / File.RootElement.GetProperty("fs_hz").GetDouble());

        double Number(string name) => kick.GetProperty(name).GetDouble();

        double[] Numbers(string name) => [.. kick.GetProperty(name).EnumerateArray().Select(number => number.GetDouble())];
    }
}
