using System.Text.Json;

namespace RenderGraph.Nodes.Tests.Measures;

/// <summary>tests/Reference/analysis.json: recipes of kicks and basses with the truth about them, and notes after ISO 16; it names its sources.</summary>
public static class AnalysisReference
{
    private static readonly JsonDocument File = JsonDocument.Parse(System.IO.File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", "analysis.json")));

    /// <summary>Frequencies of notes by their MIDI number: equal temperament, A4 = 440 Hz.</summary>
    public static IReadOnlyDictionary<int, double> NotesHz { get; } = File.RootElement.GetProperty("midi_table").EnumerateObject()
        .ToDictionary(note => int.Parse(note.Name, System.Globalization.CultureInfo.InvariantCulture), note => note.Value.GetDouble());
}
