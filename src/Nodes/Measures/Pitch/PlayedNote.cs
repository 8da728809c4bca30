namespace RenderGraph.Nodes.Measures.Pitch;

/// <summary>A note that a part plays, as heard in its low band (below 400 Hz).</summary>
/// <param name="Midi">Its number; <see cref="Pitch.Note"/> names it.</param>
/// <param name="FrequencyHz">Where it was heard, on the average over time.</param>
/// <param name="Count">How often it was struck or held for 120 ms and more.</param>
/// <param name="Seconds">How long in all.</param>
/// <param name="LevelDbfs">Mean power of its strokes, each at its loudest 120 ms; a full-scale sine is -3.0.</param>
public sealed record PlayedNote(int Midi, double FrequencyHz, int Count, double Seconds, double LevelDbfs);
