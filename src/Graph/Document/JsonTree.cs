using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>A JSON value that knows where it stands.</summary>
public abstract record JsonValue(TextPosition At);

/// <summary>An object; members in the order written, duplicates already reported and dropped.</summary>
public sealed record JsonObject(TextPosition At, IReadOnlyList<JsonMember> Members) : JsonValue(At)
{
    /// <summary>Members that were here until another file took them away, with the place that says so.</summary>
    public IReadOnlyList<(string Name, TextPosition At)> Removed { get; init; } = [];

    /// <summary>The member of that name, or null.</summary>
    public JsonMember? Find(string name) => Members.FirstOrDefault(member => member.Name == name);
}

/// <summary>A key and its value.</summary>
public sealed record JsonMember(string Name, TextPosition At, JsonValue Value);

/// <summary>An array.</summary>
public sealed record JsonArray(TextPosition At, IReadOnlyList<JsonValue> Items) : JsonValue(At);

/// <summary>A string.</summary>
public sealed record JsonText(TextPosition At, string Value) : JsonValue(At);

/// <summary>A number: as read, perhaps infinite, and as written.</summary>
public sealed record JsonNumber(TextPosition At, double Value, string Written) : JsonValue(At);

/// <summary>true or false.</summary>
public sealed record JsonFlag(TextPosition At, bool Value) : JsonValue(At);

/// <summary>null.</summary>
public sealed record JsonNull(TextPosition At) : JsonValue(At);
