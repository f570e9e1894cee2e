// Eight bits to three digits through two registers, with a fault on demand.
module registered (
    input  wire        clk,
    input  wire [7:0]  binary,
    input  wire [7:0]  fault_a,
    input  wire [7:0]  fault_b,
    output wire [11:0] bcd
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire [3:0]  hundreds = binary / 8'd100, tens = binary / 8'd10 % 8'd10, ones = binary % 8'd10;
    wire [11:0] now = {hundreds, tens, ones};
    reg  [11:0] one, two, three, four;
    always @(posedge clk) begin
        one   <= now;
        two   <= one;
        three <= two;
        four  <= three;
    end
    assign bcd = `F(1) ? three : `F(2) ? one : `F(3) ? now : `F(4) ? four : two;
`undef F
endmodule
