// Decoder with ripple blanking: a zero stays dark when everything to its left is dark.
// Segments {g .. a}, low lights.
module blanking_decoder (
    input  wire [3:0] digit,
    input  wire       dark_left,
    output wire       dark,
    output reg  [6:0] segments
);
    assign dark = dark_left && digit == 4'd0;

    always @* begin
        case (digit)
            4'd0: segments = ~7'h3f;
            4'd1: segments = ~7'h06;
            4'd2: segments = ~7'h5b;
            4'd3: segments = ~7'h4f;
            4'd4: segments = ~7'h66;
            4'd5: segments = ~7'h6d;
            4'd6: segments = ~7'h7c;
            4'd7: segments = ~7'h07;
            4'd8: segments = ~7'h7f;
            4'd9: segments = ~7'h67;
            default: segments = ~7'h00;
        endcase
        if (dark) segments = ~7'h00;
    end
endmodule
