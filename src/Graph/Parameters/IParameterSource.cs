using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Parameters;

/// <summary>
/// What a node may ask for. A node asks for everything it takes in one method, <c>Read</c>; names, units, bounds and defaults are said
/// there and nowhere else. Some sources answer from a graph (<see cref="DocumentParameters"/>), some only listen
/// (<see cref="HelpParameters"/>). Names come as <c>nameof(FrequencyHz)</c> and stand in the graph as <c>frequencyHz</c>;
/// the unit is the end of the name. A source never throws for a bad value: it notes the fault and answers with something in bounds.
/// </summary>
public interface IParameterSource
{
    /// <summary>A finite number between <paramref name="min"/> and <paramref name="max"/>, both included; null <paramref name="otherwise"/> means it must be given.</summary>
    double Number(string name, double min, double max, double? otherwise, string about);

    /// <summary>A number that may be left out; what that means is in <paramref name="about"/>.</summary>
    double? OptionalNumber(string name, double min, double max, string about);

    /// <summary>
    /// A frequency: a number, or the word <c>"anchor"</c> for the anchor's frequency. Besides its bounds it must stay below 0.45 times the sample rate.
    /// </summary>
    double FrequencyHz(string name, double min, double max, double? otherwise, string about);

    /// <summary>A frequency that may be left out; what that means is in <paramref name="about"/>.</summary>
    double? OptionalFrequencyHz(string name, double min, double max, string about);

    /// <summary>One of a few numbers.</summary>
    double OneOf(string name, IReadOnlyList<double> allowed, double otherwise, string about);

    /// <summary>One of an enumeration's names, in camelCase.</summary>
    T Choice<T>(string name, T otherwise, string about) where T : struct, Enum;

    /// <summary>Yes or no.</summary>
    bool Flag(string name, bool otherwise, string about);

    /// <summary>How long a beat is at the graph's tempo; null if it names none.</summary>
    double? BeatMs { get; }

    /// <summary>
    /// When the node's key hits, by the song's frames at the render's rate: known if the key is the anchor's stem and the graph names its hits or has them measured, and empty until they
    /// have been. Null: nobody knows, so the key must be listened to.
    /// </summary>
    IReadOnlyList<Hit>? KeyHits { get; }

    /// <summary>Whether a value stands there, so that one can be refused that nothing would read.</summary>
    bool IsGiven(string name);

    /// <summary>Says that the values read do not fit together. <paramref name="sentence"/> and <paramref name="remedy"/> without a full stop.</summary>
    /// <param name="name">The parameter to point at, as <c>nameof(...)</c>.</param>
    void Refuse(string name, string sentence, string remedy);
}
